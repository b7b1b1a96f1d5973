/* Reply: a card for a disputed claim. Result, evidence, the largest doubt, and what would overturn it. */
#ifndef RUNDOWN_REPORT_REPLY_H
#define RUNDOWN_REPORT_REPLY_H

#include "base/text.h"
#include "claims/assessment.h"

/* `claim` is a slug or a name. An unknown one is a usage error that lists those there are. */
enum status reply_card(const struct assessment *assessment, const char *claim, int width, struct text *text,
                       struct message *message);

/* The decision of that slug or name, or NULL. */
const struct decision *reply_find(const struct assessment *assessment, const char *claim);

#endif
