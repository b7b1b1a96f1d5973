/* Clauses: `300 W, ripple 20 %, for 2 h`, the values of a script. A comma and a blank part them. */
#ifndef RUNDOWN_REHEARSAL_CLAUSE_H
#define RUNDOWN_REHEARSAL_CLAUSE_H

#include "intake/ini.h"

struct clause {
    const char *word; /* before the amount; "": the amount stands alone; NULL ends a list */
    enum quantity
        quantity;       /* one word may stand with several; QUANTITY_NONE: the word is all, *into gets 1 */
    double *into;       /* NaN: not said yet; saying it twice is a fault */
    double least, most; /* allowed, both included */
};

/* `form` is a whole line as it may be written, for the remedy. */
enum status clauses_read(const struct ini *ini, const struct ini_entry *entry, const struct clause *known,
                         const char *form, struct message *message);

#endif
