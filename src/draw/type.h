/* Type: the sizes of words on a page, in points. Inside of `paper`. */
#ifndef RUNDOWN_DRAW_TYPE_H
#define RUNDOWN_DRAW_TYPE_H

#define TYPE_BODY 9.5
#define TYPE_LEAD 10.5
#define TYPE_NOTE 8.0
#define TYPE_SMALL 7.5 /* what is looked up rather than read */
#define TYPE_LEADING(size) ((size) > TYPE_NOTE ? 1.4 : 1.3) /* line to line, in sizes */

/* From the top of a line to its baseline, so that capitals stand in its middle. */
#define TYPE_BASELINE(size, leading) ((size) * ((leading) / 2 + 0.36))

#define TYPE_AFTER 5.0 /* below a table, a figure or columns */

#define RULE_STRONG 0.8
#define RULE_FINE 0.4

#endif
