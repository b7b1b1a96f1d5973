/* Columns: which column of a log is taken for what, and why.
 *
 * Asked-for columns come first, then the words of the header, then its units, then a preamble line that
 * lists the columns. Where two columns could serve and the choice changes the result, or where nothing
 * tells, the log is refused with the option that settles it. */
#ifndef RUNDOWN_INTAKE_COLUMNS_H
#define RUNDOWN_INTAKE_COLUMNS_H

#include "intake/log.h"
#include "intake/row.h"

struct columns {
    struct column_choice *choices; /* owned; [count] */
    size_t count;
    struct row_plan plan;
    bool utc;              /* the header says that the clock is UTC */
    enum sign_stated sign; /* as the header and the preamble say; the mode column is the reader's */
    bool order_unknown;    /* of day and month, in a log of one day: it runs the same either way */
    double start_utc_s;    /* of the first row, from a second clock beside the elapsed time; NaN */
    int typed_decimals[CHANNELS];
    double time_digit_s; /* one step of the last digit of the times */
    bool step_time;      /* the time column counts within a step */
};

enum status columns_find(const struct log_layout *layout, const char *name, const struct log_options *options,
                         struct columns *ret_columns, struct notices *notices, struct message *message);
void columns_free(struct columns *columns);

#endif
