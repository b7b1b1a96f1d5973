/* Limits: what must not be passed while a test runs, and where each number comes from.
 *
 * The label's own statements come first: its cut-off, charge volts, charge and discharge temperatures and
 * currents. What it leaves open is that of lithium iron phosphate cells: 2.5 V and 3.65 V a cell (several
 * general pages that agree, of low authority); charging within 0…45 °C, discharging within -20…60 °C (from
 * memory). A case that rises by 2 °C in a minute, charge volts passed by more than 0.05 V a cell, and 1.25 times
 * the continuous current where no peak is stated, are common practice, no source. Each can be set otherwise, or
 * switched off. They are for the operator's attention and protect nothing: a fuse and the BMS do that. */
#ifndef RUNDOWN_BENCH_LIMITS_H
#define RUNDOWN_BENCH_LIMITS_H

#include "base/status.h"
#include "base/text.h"
#include "claims/label.h"

#include <stdbool.h>

enum limit_kind {
    LIMIT_LOW_V,       /* of the pack, while current leaves it */
    LIMIT_HIGH_V,      /* of the pack, while current goes in */
    LIMIT_LOW_CELL_V,
    LIMIT_HIGH_CELL_V,
    LIMIT_MOST_A,      /* either way */
    LIMIT_LOW_DEGC,
    LIMIT_HIGH_DEGC,
    LIMIT_RISE,        /* °C in a minute */
    LIMITS
};

struct limit {
    double at;       /* NaN: not looked out for */
    char source[64]; /* "the label, line 12", "usual for lithium iron phosphate", "--limit" */
};

struct limits {
    struct limit of[LIMITS];
};

const char *limit_name(enum limit_kind kind); /* as the text form has it: "low", "high cell", "rise", … */
const char *limit_unit(enum limit_kind kind); /* "V", "A", "°C", "°C/min" */

/* Of the label (NULL: none) for a discharge or a charge. */
struct limits limits_usual(const struct label *label, bool charge);
struct limits limits_none(void);

/* One limit as text: `low cell 2.5 V`, `high 45 °C`, `most 120 A`, `rise 3 °C/min`; off: `no low cell`, `no high V`. The unit
 * tells volts from degrees. Any other text is a fault that shows what may be written. */
enum status limits_set(struct span text, const char *source, struct limits *limits, struct message *message);

/* `low cell 2.5 V (usual for lithium iron phosphate)`, one a line, for what is looked out for. */
void limits_print(const struct limits *limits, struct text *text);

#endif
