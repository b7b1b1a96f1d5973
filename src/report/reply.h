/* Reply: a card for a disputed claim. Result, evidence, the largest doubt, and what would overturn it. */
#ifndef RUNDOWN_REPORT_REPLY_H
#define RUNDOWN_REPORT_REPLY_H

#include "base/json_value.h"
#include "claims/assessment.h"

/* Its parts, in sentences. Owned, never NULL. */
struct reply {
    const struct decision *decision; /* borrowed */
    char *result, *evidence, *doubt, *overturn;
};
struct reply reply_of(const struct assessment *assessment, const struct decision *decision);
void reply_free(struct reply *reply);

/* The card in words. `claim` is a slug or a name. An unknown one is a usage error that lists those there are. */
enum status reply_card(const struct assessment *assessment, const char *claim, int width, struct text *text,
                       struct message *message);

/* Every claim's card, in the order of the label, as docs/json.md has them; `comma`: the decimal sign of the words. The
 * card in words is there too. Handed over. */
json_t *json_replies(const struct assessment *assessment, bool comma);

/* The decision of that slug or name, or NULL. */
const struct decision *reply_find(const struct assessment *assessment, const char *claim);

#endif
