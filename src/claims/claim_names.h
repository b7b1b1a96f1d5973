/* Names of claims: the words a label file may use for each kind, how it is shown, and which way is good. */
#ifndef RUNDOWN_CLAIMS_CLAIM_NAMES_H
#define RUNDOWN_CLAIMS_CLAIM_NAMES_H

#include "base/text.h"
#include "claims/label.h"

struct claim_name {
    const char *written; /* in the file, compared as base/nearest.h's name_alike does */
    enum claim_kind kind;
    const char *shown;   /* NULL: an alias of the entry before */
    enum sense sense;
    enum quantity quantity;
};

/* All names, ended by one whose `written` is NULL. */
extern const struct claim_name claim_names[];

const struct claim_name *claim_name_find(const char *written); /* NULL when unknown */
const char *claim_kind_shown(enum claim_kind kind);
enum quantity claim_kind_quantity(enum claim_kind kind);

/* The name as it stands within a sentence: `mass`, `BMS opens at 10 V`. */
void claim_name_within(const char *name, char *buffer, size_t size);

/* `Charging stops when cold` gives `charging-stops-when-cold`. */
void claim_slug(const char *words, char *buffer, size_t size);

#endif
