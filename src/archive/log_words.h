/* Log words: what the reader of a log said of it, as JSON, kept with the run as its text "log".
 *
 * Everything of a struct log but its readings, marks and start, which the run itself holds: the columns and why,
 * signs, rows left out, joints of the clock, notices, and how times follow from decimals. */
#ifndef RUNDOWN_ARCHIVE_LOG_WORDS_H
#define RUNDOWN_ARCHIVE_LOG_WORDS_H

#include "archive/log_times.h"
#include "base/json_value.h"

void log_words_write(const struct log *log, const struct log_times *times, struct text *text);

/* Into a log that has no series yet: series.gaps, series.time_resolution_s and digits.turned are set too.
 * `ret_mark_lines` gets the lines of the marks, in order; json_decref. `name` is for messages. */
enum status log_words_read(const char *name, struct span json, struct log *log, struct log_times *ret_times,
                           json_t **ret_mark_lines, struct message *message);

/* Of such words the sign alone; SIGN_NOT_STATED where they cannot be read. */
enum sign_stated log_words_sign(struct span json);

#endif
