/* Findings: everything that Rundown computes from the readings of one log, before any claim is looked at.
 *
 * A log holds runs, one after the other: a run is a maximal stretch of rest, charge or discharge. A run
 * holds phases, in each of which one thing happens (a constant current, a constant power, a pulse).
 * A step is an abrupt change of current between two phases. The test is the stretch of runs, from the
 * first load to the end of the discharge, that delivered the most charge without a charge of note
 * between; capacity is read from the test, totals from the whole log.
 *
 * Current is positive when it leaves the sample. Charge and energy of a run are positive amounts in the
 * run's own direction. Times are seconds on the series' clock. Indices point into the trace. A measure
 * whose value is NaN says in `why` what is missing. */
#ifndef RUNDOWN_BATTERY_FINDINGS_H
#define RUNDOWN_BATTERY_FINDINGS_H

#include "battery/charging.h"
#include "battery/holding.h"
#include "battery/low_stop.h"
#include "battery/resting.h"
#include "battery/runs.h"
#include "battery/trip.h"
#include "battery/warming.h"
#include "quantity/accuracy.h"
#include "quantity/sightings.h"

#include <stddef.h>

/* What is asked beside the readings: from the label and the command line. NaN or 0 where not stated. */
enum { ASKED_CUT_OFFS = 24 };
struct asked {
    double cut_off_v[ASKED_CUT_OFFS]; /* asked for with --cut-off, and stated on the label */
    int cut_offs;
    double rated_ah, rated_wh;
    double continuous_a, peak_a;
    double charge_v;                  /* that the label has it charged to */
    int cells;                        /* in series; 0 unknown */
    bool lithium_iron_phosphate;      /* usual cut-offs per cell apply */
    enum load_law law;                /* as stated */
    double stated_ripple;             /* rms over mean; NaN: the rig's, else estimated */
};
struct asked asked_nothing(void);

/* Resistance by the pulse pair of IEC 61960-3 / IEC 62620: 0.2 I_t for 10 s, then I2 for 1 s (5 s). */
struct pulse_pair {
    double at_s, i1_a, i2_a, u1_v, u2_v;
    struct measure ohm;
    char deviation[160]; /* how the durations and currents depart from the standard, "" if they do not */
};

struct capacity {
    double cut_off_v;
    bool asked;          /* asked for or on the label; else a usual one that was passed */
    bool reached;
    double at_s;
    struct measure charge_ah, energy_wh; /* from the start of the test to the cut-off */
};

/* The moment a rated value was passed. */
struct crossing {
    double rated;        /* Ah or Wh; NaN when not asked */
    bool reached;
    struct measure at_s; /* from the start of the test */
    double volts;        /* at that moment */
};

struct burst {
    size_t phase;
    double start_s, end_s;
    double current_a;    /* mean over the burst, A */
    struct measure peak_a;
    double base_a;
    double sag_v;        /* volts lost at its end against the carried base */
    struct measure cost_wh, cost_share; /* share of the test's energy, 0…1 */
    double check_wh;     /* Q·R·ΔI, the rule of thumb beside it */
    double recovery_s;   /* until the volts joined the base again; NaN: they did not */
    char charge_bound[200]; /* what it cost in charge: bounded in words */
    double charge_bound_ah; /* NaN when not bounded */
};

struct load_finding {
    struct measure exponent; /* n in I ∝ V^n: -1 constant power, 0 constant current, +1 resistance */
    enum load_law law;       /* LOAD_UNKNOWN when the exponent does not single one out */
    double level;            /* W, A or ohm of the law */
    char words[200];
};

struct tally_check {
    bool present;
    struct measure tally, integral; /* over the same stretch */
    double e_n;                     /* ISO 13528, from the unshared parts; NaN: cannot tell */
    bool agrees;
    bool froze, reset;              /* when the sample went dark or the meter restarted */
    double event_s;
    char words[256];
};

/* One condition of the test beside what the standards ask; see battery/conditions.h. */
struct condition {
    const char *name;     /* "rate", "temperature", "rest before", … */
    char was[96], asked_for[96];
    bool known, departs;
    double effect_lo, effect_hi; /* likely effect on capacity, fraction: measured/standard - 1; NaN unknown */
    char words[400];
};
enum { CONDITIONS = 6 };

struct findings {
    struct run *runs;        size_t run_count;
    struct phase *phases;    size_t phase_count;
    struct step *steps;      size_t step_count;
    struct burst *bursts;    size_t burst_count;
    struct pulse_pair *pairs; size_t pair_count;
    struct capacity *capacities; size_t capacity_count;
    struct trip *trips;      size_t trip_count;  /* where the pack's board stopped a run */
    struct charging *chargings; size_t charging_count;
    struct resting *restings; size_t resting_count;
    struct hold *holds;      size_t hold_count;
    struct low_stop *low_stops; size_t low_stop_count;
    struct warming *warmings; size_t warming_count;

    struct measure discharge_ah, discharge_wh, charge_ah, charge_wh; /* totals of the log */
    struct measure wake_ah;   /* pushed in by a charger to wake a dark sample; not in the test */

    bool has_test;
    size_t test_first_run, test_last_run;
    bool beginning_unseen;    /* the readings begin under way: what the test delivered is a least value */
    struct measure test_ah, test_wh, test_mean_v, test_duration_s;
    double test_start_s, test_end_s;
    double test_mean_a, test_peak_a, test_degc;   /* NaN where unknown */
    struct crossing rated_ah, rated_wh;
    struct load_finding load;
    struct ripple ripple;     /* of discharges; zeros: none */
    struct tally_check tally_ah, tally_wh;
    struct measure efficiency_charge, efficiency_energy; /* 'cannot tell' without a closed cycle */
    double full_before;       /* 1: shown to be full before the test, 0: shown not to be, NaN: cannot tell */
    bool full_doubted;        /* and what the readings show of the charge before speaks against it or leaves it open */
    char full_words[400];
    struct condition conditions[CONDITIONS]; int condition_count;

    double noise_v, noise_a;  /* found in the readings, one standard deviation */
    double period_s;          /* median sampling interval */
    bool order_only;          /* sightings without times: durations are bounded only */
};

void findings_free(struct findings *findings);

#endif
