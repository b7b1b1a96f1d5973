/* Same value: whether two typed values mean the same, however they were written.
 *
 * Sizes agree in count and section (to 3 %: `10 AWG` and `5.26 mm²` do, `6 mm²` does not), amounts where their bounds
 * meet (lengths to 5 mm and masses to 1 % besides, as a tape and a kitchen scale are), outlines side by side to 2 mm,
 * markings by their letters and digits alone. Words after a comma count where both have some. */
#ifndef RUNDOWN_TEARDOWN_SAME_VALUE_H
#define RUNDOWN_TEARDOWN_SAME_VALUE_H

#include "teardown/opened.h"

bool same_value(enum opened_kind kind, const char *key, const char *first, const char *second);

#endif
