/* Compare: several samples on shared axes, for the page, the command and the picture files. What was found of each is
 * what its shelf entry says (shelf.h). */
#ifndef RUNDOWN_REPORT_COMPARE_H
#define RUNDOWN_REPORT_COMPARE_H

#include "base/notices.h"
#include "book/sample.h"
#include "draw/figure.h"
#include "report/pictured.h"
#include "report/shelf.h"
#include "teardown/likeness.h"

enum { COMPARED_LEAST = 2, COMPARED_MOST = 12 };

struct compared {
    int64_t sample; /* of the book */
    char name[BOOK_NAME];
    const struct assessment *assessment; /* borrowed */
    struct shelf_entry entry;
};

struct compare {
    struct compared items[COMPARED_MOST];
    size_t count;
};

/* False when there is no room for one more. All zero is an empty one. */
bool compare_add(struct compare *compare, int64_t sample, const char *name, const struct assessment *assessment);
void compare_free(struct compare *compare);

/* Where two tests were not made alike, in sentences: topic "conditions". What is said to be alike is what the
 * verdicts count as alike (claims/rules.h). */
void compare_conditions(const struct compare *compare, struct notices *notices);

/* The first sample with an opened case beside each other one with a case (teardown/likeness.h): `ret_first` and
 * `ret_second` are places among the items. False when there is no pair of that number, from 0. Free the likeness. */
bool compare_likeness(const struct compare *compare, size_t number, size_t *ret_first, size_t *ret_second,
                      struct likeness *ret_likeness);

enum compare_figure {
    COMPARE_CURVES,     /* volts against the charge delivered */
    COMPARE_PRICE,      /* delivered energy against the price, */
    COMPARE_MASS,       /* the mass, */
    COMPARE_VOLUME,     /* the volume; with intervals both ways */
    COMPARE_RESISTANCE, /* a rung a sample */
    COMPARE_VERDICTS,   /* a mark a claim */
    COMPARE_FIGURES
};
extern const char *const compare_words[COMPARE_FIGURES + 1]; /* "curves", "price", …, NULL */
extern const char *const compare_titles[COMPARE_FIGURES];

/* What cannot be shown is named below the figure, with the reason. */
void compare_figure(const struct compare *compare, enum compare_figure which, double width, struct figure *ret_figure);
enum status compare_picture(const struct compare *compare, enum compare_figure which, enum picture_form form, double width,
                            struct text *ret_picture, struct message *message);

/* docs/json.md, `compare --json`. */
void compare_json(const struct compare *compare, struct text *text);

#endif
