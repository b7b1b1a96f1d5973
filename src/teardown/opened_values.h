/* Opened values: what the words of an item's line say, or the fault with its place.
 *
 * A value is an amount, a count, a size, yes or no, or a word, with anything after a comma: `200 °C, silicone`. What is
 * not there is NaN, 0 or -1 and no fault. */
#ifndef RUNDOWN_TEARDOWN_OPENED_VALUES_H
#define RUNDOWN_TEARDOWN_OPENED_VALUES_H

#include "quantity/unit.h"
#include "teardown/gauge.h"
#include "teardown/metal.h"
#include "teardown/opened.h"

#include <stdbool.h>

/* Borrowed throughout; `key` is one of opened_keys. */
struct opened_look {
    const struct opened *opened;
    const struct opened_item *item;
    struct message *message;
};

struct opened_amount {
    double value, half;  /* own unit; half-width: of the last digit, a range or a ±; NaN */
    const char *words;   /* what follows it; "" */
};

enum status opened_amount(const struct opened_look *look, const char *key, enum quantity quantity,
                          struct opened_amount *ret_amount);
/* The same of one entry, from `offset` of its value on. */
enum status opened_amount_at(const struct opened_look *look, const struct opened_entry *entry, size_t offset,
                             enum quantity quantity, struct opened_amount *ret_amount);
/* A number without a unit, or with that one. */
enum status opened_bare_number(const struct opened_look *look, const char *key, const char *unit,
                               struct opened_amount *ret_amount);
enum status opened_count(const struct opened_look *look, const char *key, int *ret_count);      /* 0 */
enum status opened_yes(const struct opened_look *look, const char *key, int *ret_yes);          /* 1, 0, -1 */
/* A size up to its first comma; false where there is none. A metal after it counts as `metal` does. */
enum status opened_gauge(const struct opened_look *look, bool *ret_sized, struct gauge *ret_gauge,
                         enum metal *ret_metal);                                               /* METALS */
/* `329 x 172 x 214 mm`; NaN. */
enum status opened_sides(const struct opened_look *look, const char *key, double ret_m[3]);

/* `4S2P`, `2P4S`, `4S`; false where it is none. */
bool arrangement_read(struct span words, int *ret_series, int *ret_parallel);

/* `none` or `no`, with anything after it: looked for, and not there. */
bool value_is_none(const char *value);
bool opened_none(const struct opened_item *item, const char *key);
/* Whether the value begins with that word. */
bool opened_says(const struct opened_item *item, const char *key, const char *word);

__attribute__((format(printf, 4, 5)))
enum status opened_fault(const struct opened_look *look, const struct opened_entry *entry, size_t offset,
                         const char *what, ...);

#endif
