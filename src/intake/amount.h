/* Amount: a quantity as people type it, hedges and all, read into what it says.
 *
 *     12.91 V   12,91V   ~24 A   ca. 24 A   >55 A   60..62 Ah   60–62 Ah   24 ± 0.5 A   24 A ± 2 %
 *
 * A comma may be the decimal sign. `1,280 Wh` can be 1.28 or 1280: where the file does not state its
 * decimal sign that is refused, not guessed, and marks of thousands are refused always. What `~` is
 * worth is for the caller; a range and a ± are bounds as typed. */
#ifndef RUNDOWN_INTAKE_AMOUNT_H
#define RUNDOWN_INTAKE_AMOUNT_H

#include "base/status.h"
#include "base/text.h"
#include "quantity/unit.h"

enum amount_form {
    AMOUNT_PLAIN,
    AMOUNT_ABOUT, /* ~ */
    AMOUNT_ABOVE, /* >: hi is INFINITY, value NaN */
    AMOUNT_BELOW, /* <: lo is -INFINITY, value NaN */
    AMOUNT_RANGE, /* .. */
    AMOUNT_SPREAD /* ± */
};

/* Numbers are in the own unit; for QUANTITY_NONE as typed. */
struct amount {
    enum amount_form form;
    enum quantity quantity;
    double value, lo, hi; /* lo == hi == value for PLAIN and ABOUT */
    double digit;         /* one step of the last digit typed; of the coarser end of a range */
};

/* Reads from the start of the span; `decimal` is '.', ',' or 0 when either may be meant. *ret_used is
 * the characters used, 0 (with STATUS_OK) when the span does not start with an amount. On failure the
 * message has what and remedy, and as its column the byte in the span from 0: the caller, who knows
 * the place, puts it right (message_place). */
enum status amount_read(struct span span, char decimal, struct amount *ret_amount, size_t *ret_used,
                        struct message *message);

/* A number by the same rules, without unit or hedge; U+2212 is a minus. `ret_decimals` as number_read. */
enum status amount_number(struct span span, char decimal, double *ret_number, int *ret_decimals,
                          size_t *ret_used, struct message *message);

/* Three lengths with anything but digits between them: `330 x 172 x 215 mm`, the unit once, after the third. The whole
 * span; false where it is none. */
bool lengths_read(struct span span, double ret_m[3]);

/* Turns a byte offset into a line, left in message->column by the functions above, into file, line
 * and character; `base` is the offset of their span in `line`. Returns the message's status. */
enum status message_place(struct message *message, const char *path, long number, struct span line,
                          size_t base);

/* Blanks at the start, no-break spaces included. */
size_t blanks_at(struct span span);
/* Length of the first of `spellings` (ended by NULL) that the span starts with, ASCII case folded; 0:
 * none. A spelling that ends in a letter must not be followed by one. */
size_t spelling_at(struct span span, const char *const *spellings);
struct span span_from(struct span span, size_t offset);

#endif
