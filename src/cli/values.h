/* Values: what several commands take behind their options, read once. */
#ifndef RUNDOWN_CLI_VALUES_H
#define RUNDOWN_CLI_VALUES_H

#include "base/status.h"
#include "intake/log.h"

/* The place of `value` among `words` (NULL ends them); a usage error lists them. */
enum status value_one_of(const char *option, const char *value, const char *const *words, int *ret_index,
                         struct message *message);

/* A whole number from `least` to `most`, digits alone; `what` as the fault is to name it: "--run". */
enum status value_whole(const char *what, const char *value, int64_t least, int64_t most, int64_t *ret_number,
                        struct message *message);

/* A positive amount; a bare number is in the own unit. `example` is for the remedy. */
enum status value_quantity(const char *option, const char *value, enum quantity wanted, const char *example,
                           double *ret_value, struct message *message);

/* `--current discharge-positive` or `charge-positive`. */
enum status value_sign(const char *option, const char *value, enum sign_stated *ret_sign, struct message *message);

/* `--column WHAT=COLUMN`, into options->wishes, which lie in `wishes`. */
enum { VALUE_WISHES = 64 };
enum status value_column(const char *value, struct column_wish wishes[static VALUE_WISHES],
                         struct log_options *options, struct message *message);

/* On standard error, when that is a terminal: `reading 42 %`, gone at the end. */
struct progress {
    const char *what;
    int shown; /* per cent; -1 nothing yet */
};
void progress_show(void *context, double share);
/* The function to hand on: NULL when `quiet` or standard error is no terminal. */
void (*progress_function(bool quiet))(void *context, double share);

#endif
