/* What the figures of compare.h share. */
#ifndef RUNDOWN_REPORT_COMPARE_PARTS_H
#define RUNDOWN_REPORT_COMPARE_PARTS_H

#include "report/compare.h"

/* Samples are told apart by their names and by ink and line together. */
struct stroke compare_stroke(size_t sample, double width);

/* Who is not shown, and why: set below the figure, which grows. */
struct absent {
    struct text words;
};
void absent_add(struct absent *absent, const char *name, const char *why);
/* Appends what holds for the figure as a whole too: that data are invented. */
void absent_draw(struct absent *absent, const struct compare *compare, struct figure *figure);

/* `height`: without the words below. */
void compare_curves(const struct compare *compare, double width, double height, struct figure *ret_figure);
void compare_scatter(const struct compare *compare, enum compare_figure which, double width, double height,
                     struct figure *ret_figure);
void compare_resistance(const struct compare *compare, double width, struct figure *ret_figure);
void compare_verdicts(const struct compare *compare, double width, struct figure *ret_figure);

#endif
