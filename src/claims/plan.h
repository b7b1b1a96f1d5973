/* Plan: before anything is switched on, can this rig and these loads decide each claim, which one change
 * would settle it most cheaply, and how is the test to be run so that somebody else can repeat it?
 *
 * The outlook of a claim about an amount is the 95 % half-width that this rig would give if the sample
 * delivered just what is claimed: a sample that lies further from its claim than that is decided, save
 * where the conditions of the test keep it open.
 * docs/plan.md says what else is foreseen. A plan can be saved and handed to `assess`, which then names
 * where the run departed from it. */
#ifndef RUNDOWN_CLAIMS_PLAN_H
#define RUNDOWN_CLAIMS_PLAN_H

#include "battery/findings.h"
#include "claims/label.h"
#include "claims/loads.h"

enum outlook { OUTLOOK_DECIDES, OUTLOOK_ONLY_IF_CLEAR, OUTLOOK_CANNOT_REACH, OUTLOOK_OTHER_TEST };
const char *outlook_name(enum outlook outlook); /* "can be decided", "only if it is clear", … */

struct prospect {
    const struct claim *claim;
    enum outlook outlook;
    double half_width;   /* expected 95 % half-width, own unit; NaN */
    char reason[320];
    char cheapest[240];  /* the one change that would settle it most cheaply, "" when none is needed */
};

/* What a line of the protocol is about; its cautions follow from it (report/cautions.h). */
enum plan_act { ACT_REST, ACT_ZERO, ACT_BASE, ACT_READ, ACT_BURST, ACT_PEAK, ACT_WATCH, ACT_CUT_OFF, ACT_RECHARGE };
const char *plan_act_name(enum plan_act act); /* "rest", "cut-off", … */

/* A line of the protocol: when, counted from switching the base load on (negative: before). */
struct plan_step {
    enum plan_act act;
    double at_s;
    double within_s;     /* half-width of the expected time; 0 exact */
    char what[300];
    char write_down[160];
};

enum { PLAN_STEPS = 16 };

/* Some of the loads, run together, as the sample sees them. */
struct draw {
    unsigned on;     /* which loads, bit by bit; 0 when no file names any */
    double w, a;     /* at the terminals, at volts that such a current leaves; NaN: none */
    char words[200]; /* "panel heater + kettle", or what is needed */
};

struct plan {
    struct prospect *prospects; size_t count;
    struct plan_step steps[PLAN_STEPS]; int step_count;
    struct draw base;                  /* amps at the nominal voltage */
    struct draw burst;                 /* base included; NaN: no load for one, or none needed */
    double burst_s, burst_at_ah;
    struct draw peak;                  /* for the stated peak; NaN: out of reach or not claimed */
    double peak_s;
    double reach_a;                    /* all that the loads can draw together; INFINITY when no file names any */
    double reach_w;
    double rest_s;                     /* asked before the discharge */
    double duration_s;                 /* expected, if the sample holds its rating */
    double ripple_share;               /* of the energy, half-width by which an unstated ripple may mislead */
    double drop_v;                     /* between cells and terminals under the base load, at most */
    double fills_after_s;              /* a load that is itself a battery is full before cut-off; NaN */
    double gives_up_v;                 /* the base runs behind an inverter that lets go there; NaN */
    char warning[400];                 /* "" when none */
    char sample[96];
    double start_clock_s;              /* seconds of the day at which the base load goes on; NaN: not chosen */
    bool of_book;                      /* made by papers of a book, which are: */
    char rig_paper[128], loads_paper[128]; /* "" none */
};

/* `loads` may be NULL: then what is needed is said instead of what is there. The label states a capacity. */
struct plan plan_make(const struct label *label, const struct rig *rig, const struct loads *loads);
void plan_free(struct plan *plan);

/* `9:30` and back; false for what is no time of day. */
bool plan_clock_read(struct span words, double *ret_clock_s);
void plan_clock_print(double clock_s, char *buffer, size_t size);

/* As an INI file, and back: what plan_departures needs, the papers and the start. */
void plan_save(const struct plan *plan, struct text *text);
enum status plan_read(const char *path, struct plan *ret_plan, struct message *message);
enum status plan_read_text(const char *path, struct span text, struct plan *ret_plan, struct message *message);

/* Names, as notices of topic "plan", where the run departed from the plan: sample, base load, burst, rest,
 * end. More than a tenth off is a departure. */
void plan_departures(const struct plan *plan, const char *sample, const struct findings *findings,
                     struct notices *notices);

#endif
