/* Nearest name: what a mistyped word was probably meant to be. For messages only; nothing is ever
 * taken for what it resembles. */
#ifndef RUNDOWN_BASE_NEAREST_H
#define RUNDOWN_BASE_NEAREST_H

#include "base/text.h"

/* Words are alike when they differ only in ASCII case and in how their parts are joined: blanks,
 * `_` and `-` count the same (`Cut-off voltage`, `cut_off  voltage`). */
bool name_alike(struct span a, const char *b);

/* What makes alike words the same bytes: trimmed, ASCII lower case, every run of joints one blank. Cut at `size`;
 * returns the length. */
size_t name_fold(struct span word, char *ret_folded, size_t size);

/* Position in `known` (ended by NULL) of the word alike to `word`, or -1. */
int name_find(struct span word, const char *const *known);

/* The known word with the smallest edit distance (insertion, deletion, replacement, swap of
 * neighbours: Damerau, CACM 7 (1964) 171), or NULL when more than a third of it would have to
 * change. */
const char *name_nearest(struct span word, const char *const *known);

/* `a, b, c` for a remedy. */
void name_list(const char *const *known, char *buffer, size_t size);

#endif
