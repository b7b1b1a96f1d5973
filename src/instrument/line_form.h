/* Line form: how one line of text is one reading.
 *
 * A source is `field N` (of a delimited line, from 1), `key NAME` (of `NAME=value` or `NAME: value`, or of a JSON
 * object by a path, see json_field.h) or `group N` (of `pattern = …`, a POSIX extended regular expression). All
 * sources of one link are of one sort. `separator` is comma, semicolon, tab, bar or blank (any run of blanks); where
 * none is stated, the first of tab, semicolon, bar, comma and blank that yields a whole reading stands from then
 * on, but commas only where a point shows that they are no decimal commas. `decimal = comma` is stated, never
 * guessed.
 *
 * A line is a reading or it is none: a field that is no number, or one too few, spoils all of it. Keys that do
 * not occur are missing. */
#ifndef RUNDOWN_INSTRUMENT_LINE_FORM_H
#define RUNDOWN_INSTRUMENT_LINE_FORM_H

#include "instrument/driver.h"

struct line_form;

enum status line_form_new(const struct link *link, struct line_form **ret_form, struct message *message);
void line_form_free(struct line_form *form); /* NULL is fine */

/* Forgets a found separator: the next line may come from another program. */
void line_form_forget(struct line_form *form);

/* Fills time, cells and odd. False when the line is no reading; the message (without a place) says why. */
bool line_form_read(struct line_form *form, struct span line, struct arrival *ret_arrival,
                    struct message *message);

#endif
