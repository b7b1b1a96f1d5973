/* Likeness: two opened samples side by side: what agrees and what differs, without a verdict on origin. */
#ifndef RUNDOWN_TEARDOWN_LIKENESS_H
#define RUNDOWN_TEARDOWN_LIKENESS_H

#include "teardown/opened.h"

enum alike { ALIKE_AGREES, ALIKE_DIFFERS, ALIKE_ONE_ONLY };
const char *alike_name(enum alike alike); /* "agrees", "differs", "seen in one only" */

struct likeness_row {
    enum opened_kind kind;
    char what[96];            /* "board: printed", "cells: maker of the codes" */
    enum alike alike;
    char first[160], second[160];
};
struct likeness {
    struct likeness_row *rows; size_t count;
    size_t agree, differ, one_only;
};

void likeness_find(const struct opened *first, const struct opened *second, struct likeness *ret_likeness);
void likeness_free(struct likeness *likeness);

#endif
