/* What the files of missing.c share. */
#ifndef RUNDOWN_CLAIMS_MISSING_PARTS_H
#define RUNDOWN_CLAIMS_MISSING_PARTS_H

#include "claims/missing.h"

/* A new entry of the list, whose words are to be filled in. */
struct missing *missing_add(struct missing_list *list, enum missing_weight weight);

__attribute__((format(printf, 3, 4))) void missing_say(char *words, size_t size, const char *format, ...);
#define MISSING_SAY(field, ...) missing_say(field, sizeof(field), __VA_ARGS__)

/* Claims that are open, each, and those that nobody looked at, by what would test them. */
void missing_of_claims(const struct assessment *assessment, struct missing_list *list);
/* How the discharge that the capacity rests on was made. */
void missing_of_test(const struct assessment *assessment, const struct record *record, struct missing_list *list);

#endif
