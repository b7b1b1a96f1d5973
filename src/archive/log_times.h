/* Log times: how a log's seconds follow from decimals, and the decimals from them.
 *
 * A book keeps times as decimals of seconds from the start of the run. A log's are `(number + shift) * factor` of
 * what was printed, rounded twice, so the nearest decimal alone would miss the last bit. What is kept is the
 * exact decimal (number - zero) * factor; from it comes the number, and from that, by the log's own arithmetic,
 * the very double. Where clocks were put in order and no such rule holds, each decimal has as many digits as its
 * double needs. */
#ifndef RUNDOWN_ARCHIVE_LOG_TIMES_H
#define RUNDOWN_ARCHIVE_LOG_TIMES_H

#include "intake/log.h"

struct log_times {
    bool each;        /* no rule: every decimal stands for its own double */
    bool as_printed;  /* and is what was printed: seconds from the start, in order as they came */
    double factor, shift;
    int decimals;     /* of the numbers */
    int64_t zero;     /* -shift, with these decimals */
    int64_t step;     /* factor, with step_decimals */
    int step_decimals;
};

/* False when no decimals of at most 18 digits hold the factor and the zero. */
bool log_times_set(double factor, double shift, int decimals, struct log_times *ret_times);
/* The rule that gives every time of the log. */
struct log_times log_times_find(const struct log *log);
/* Do the decimals hold the times as printed, or must these be kept beside them? */
bool log_times_hold_printed(const struct log *log, const struct log_times *times);

/* Of `count` rows from `from` on, of the log for which the rule was found. */
void log_times_decimals(const struct log_times *times, const struct log *log, size_t from, size_t count,
                        struct decimal *ret_decimals);
void log_times_seconds(const struct log_times *times, const struct decimal *decimals, size_t count, double *ret_t_s);

#endif
