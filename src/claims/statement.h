/* Statement: the value of a claim or note, taken apart.
 *
 * `[at least|at most|about] NUMBER UNIT [± NUMBER UNIT][, at 0.2 It][, 25 °C][, to 10 V][, for 5 s]`, or
 * `LOW..HIGH UNIT`, or `yes|no[, words]`; after the last `|`, where it was read. A rate is also `0.2C`,
 * `C/5` or amps; a count of cells also `4S`. Each condition may stand once. */
#ifndef RUNDOWN_CLAIMS_STATEMENT_H
#define RUNDOWN_CLAIMS_STATEMENT_H

#include "claims/label.h"
#include "intake/ini.h"

struct statement {
    int answer;            /* 1 yes, 0 no, -1 neither */
    int sense;             /* enum sense as written, -1 when not written */
    double value, plus_minus, digit; /* own unit; plus_minus NaN when not given */
    double high;           /* of a range; NaN */
    enum quantity quantity;
    double rate_it, rate_a, degc, cut_off_v, duration_s; /* NaN when not given */
    char words[160], where[80];
};

/* Needs a value of `expected`, or yes or no when that is QUANTITY_NONE. */
enum status statement_read(const struct ini *ini, const struct ini_entry *entry, enum quantity expected,
                           struct statement *ret_statement, struct message *message);

#endif
