/* Calculate: the calculations of an opened sample on their own, asked in words field by field and answered in words and
 * as JSON: for the commands `wire`, `thermistor`, `cellcode`, `casesize` and for the pages of the same names. */
#ifndef RUNDOWN_REPORT_CALCULATE_H
#define RUNDOWN_REPORT_CALCULATE_H

#include "base/json_value.h"
#include "base/status.h"
#include "report/listing.h"

#include <stdbool.h>

struct calculated {
    json_t *json;           /* as the command prints it */
    struct listing rows;    /* the same in words; an empty row parts what belongs apart */
    struct listing assumed; /* one column, sentences: what was taken where nothing was said */
};

struct calculation {
    const char *name;          /* of the command */
    const char *word;          /* the field that a plain word of the command fills */
    const char *const *fields; /* all of them, NULL at the end */
    const char *method;        /* the document that has the formulas */
    const char *const *sources; /* a sentence each: what was published where, or is from memory; NULL at the end */
    const char *caution;       /* before hands do what is computed here; NULL: nothing can hurt */
    void *(*begin)(void);      /* nothing asked yet; free() it */
    /* One field. A field may come again where it holds several; a switch takes `yes` and `no`. */
    enum status (*take)(void *asked, const char *field, const char *value, struct message *message);
    enum status (*answer)(const void *asked, struct calculated *calculated, struct message *message);
};
extern const struct calculation *const calculations[]; /* ended by NULL */

const struct calculation *calculation_named(const char *name); /* NULL: none */
bool calculation_has(const struct calculation *calculation, const char *field);

/* What was asked, answered; STATUS_USAGE where something is missing. */
enum status calculate(const struct calculation *calculation, const void *asked, struct calculated *ret_calculated,
                      struct message *message);
void calculated_free(struct calculated *calculated); /* safe on a zeroed one */

#endif
