/* Calculating: what the commands of report/calculate.h have in common: each option is a field of the calculation, by its
 * own name; a plain word fills the field that the calculation names; `json` prints as JSON; `picture`, where a command has
 * it, names a file that is read into the fields by `take_picture` (NULL: the command has none). */
#ifndef RUNDOWN_CLI_CALCULATING_H
#define RUNDOWN_CLI_CALCULATING_H

#include "cli/options.h"
#include "report/calculate.h"

typedef enum status calculating_picture(const struct calculation *calculation, void *asked, const char *path,
                                        struct message *message);

int calculating_run(const char *name, const struct option_spec *options, calculating_picture *take_picture, int argc,
                    char **argv);

#endif
