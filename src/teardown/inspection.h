/* Inspection: what an opened sample comes to, item by item: what is computed, what it means, what speaks against the
 * label, and what to look at next.
 *
 * Everything is held against numbers of the label, which are handed in; nothing here decides a claim (claims/). */
#ifndef RUNDOWN_TEARDOWN_INSPECTION_H
#define RUNDOWN_TEARDOWN_INSPECTION_H

#include "quantity/measure.h"
#include "quantity/unit.h"
#include "teardown/cell_code.h"
#include "teardown/lead_findings.h"
#include "teardown/opened.h"

/* Of the label and of what was weighed and measured; NaN or 0 where not known. */
struct rated {
    double continuous_a, peak_a, charge_a;
    double peak_s;              /* how long the peak is said to last */
    double rated_ah, rated_wh, nominal_v;
    int cells;
    double mass_kg, length_mm, width_mm, height_mm;
    bool claims_ingress;      /* the label states an IP code … */
    char ingress[16];         /* … "IP65" */
    char group[16];           /* case group that the label names; "" */
    bool claims_heater, claims_cold_cut_off;
    double air_degc;          /* around the sample while it works; NaN: 25 */
    int test_year, test_month, test_day; /* 0 */
};
struct rated rated_nothing(void);

/* One computed line: "resistance at 40 °C", a measure in its quantity's unit or words alone. */
struct inspected_value {
    char what[80];
    enum quantity quantity;   /* of the measure; QUANTITY_NONE with words alone */
    struct measure measure;   /* closed */
    char words[360];          /* shown instead of or after the measure */
};

enum { INSPECTED_VALUES = 32, INSPECTED_AGAINST = 4 };

/* What of the label a finding speaks against. */
enum rated_part { RATED_CONTINUOUS, RATED_PEAK, RATED_CHARGE, RATED_CAPACITY, RATED_CELLS, RATED_INGRESS, RATED_GROUP };

struct inspected {
    const struct opened_item *item; /* borrowed */
    struct inspected_value values[INSPECTED_VALUES];
    size_t value_count;
    char means[480];          /* what it means, in a sentence or two; cautious */
    char against[480];        /* what of the label it contradicts; "" nothing */
    struct { enum rated_part part; size_t begin, length; } parts[INSPECTED_AGAINST]; /* its sentences */
    size_t part_count;
    double limit_a;           /* conductors, bars, fuses, boards: what it allows, A; NaN */
    double limit_u_a;         /* its standard uncertainty; NaN */
};

/* Something still to look at, which depends on what was found so far. */
struct inspection_step {
    enum opened_kind kind;
    char name[64];            /* of the item that it goes on with; "" a new one */
    char key[32];             /* "" the whole item */
    char ask[200];            /* what to look at, as an instruction */
    char why[240];
    bool caution;             /* the cautions of a live, opened pack stand with it */
};

struct inspection {
    struct inspected *items; size_t count; /* as in the file */
    struct cell_code *codes; size_t code_count;
    struct cell_batch batch;
    int year, month, day;     /* to which ages are counted: of the test, else of the opening; 0 */
    struct inspection_step *steps; size_t step_count; /* the first first */
    double weakest_a;         /* smallest limit_a in the path of the current; NaN */
    size_t weakest;           /* that item; SIZE_MAX */
    int series;               /* cells counted in series; 0 not known */
    struct measure mass_kg, sides_m[3]; /* of the whole, as noted with the case; closed; unknown where not */
};

/* Fails only where a value cannot be read: the message names line, column and the remedy. An empty `opened` gives
 * the steps of a sample of which nothing is known yet but its label. */
enum status inspect(const struct opened *opened, const struct rated *rated, struct inspection *ret_inspection,
                    struct message *message);
/* Form and values of a text together, before it is kept. */
enum status inspect_judge(const char *path, struct span text, struct message *message);
void inspection_free(struct inspection *inspection);

extern const char *const opened_cautions[]; /* of opening a case; NULL at the end */

#endif
