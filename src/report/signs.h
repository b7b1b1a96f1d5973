/* Signs: the decimal sign of published words. All words of a sheet, page or figure go through here on their way out.
 *
 * A number is digits, a point, digits, where neither letter, digit nor underline touches its front and no further point
 * with digits or letters follows: so versions (1.2.3), addresses and dotted dates stay. Names stay as they are, whatever
 * they look like: files, headers of their columns, sample and rig, the command, the version of the program. A comma
 * takes the place of the point, so that no word becomes longer or shorter. */
#ifndef RUNDOWN_REPORT_SIGNS_H
#define RUNDOWN_REPORT_SIGNS_H

#include "claims/assessment.h"
#include "draw/figure.h"

struct signs {
    bool comma;
    char **names; /* owned; the longest first */
    size_t count, capacity;
};

/* With a decimal point nothing is ever changed. */
struct signs signs_of(const struct assessment *assessment, bool comma);
void signs_free(struct signs *signs);

void signs_set(const struct signs *signs, char *words);
void signs_set_figure(const struct signs *signs, struct figure *figure);
/* The words of a page: what stands between elements, and in aria-label. `style`, `code` and `time` stay. */
void signs_set_html(const struct signs *signs, char *html);

#endif
