/* Hand readings: what somebody typed while watching a meter or a film of one. docs/readings.md is the
 * form: headings `key: value`, then one instant a line: a time or none, amounts with their units, and
 * any other words as a mark.
 *
 * Nothing is skipped and nothing is guessed: a line that cannot be read is a fault with line, column and
 * remedy. An amount becomes bounds, in which `digit` is one step of the last digit typed:
 *
 *     how it was had        a plain number          `~`                     `>`, `<`
 *     seen, printed         ± 0.5 digit             ± 2 digits or 5 %       as typed
 *     filmed                ± 1 digit               ± 2 digits or 5 %       as typed
 *     remembered            ± 2.5 digits or 2 %     ± 2.5 digits or 5 %     opened by 2.5 digits or 2 %
 *     inferred              ± 5 digits or 5 %       ± 5 digits or 5 %       opened by 5 digits or 5 %
 *
 * whichever is larger; a range and a ± stand as typed. Half a digit is what rounding leaves (GUM
 * F.2.2.1); the other numbers are common practice, no source. The meter's own error comes on top.
 * Amps keep the sign they were typed with; which way they flowed is `direction`'s to say. */
#ifndef RUNDOWN_INTAKE_READINGS_H
#define RUNDOWN_INTAKE_READINGS_H

#include "base/status.h"
#include "intake/typed_time.h"
#include "quantity/sightings.h"

enum { READINGS_COLUMNS = 12 };

/* What the headings state, and what holds for a value that does not say. */
struct readings_form {
    char decimal; /* '.', ',' or 0: not stated */
    enum times times;
    struct frame_rate rate;
    enum had had;
    int column_count; /* of bare numbers, in the order of `columns: V A Ah` */
    struct unit columns[READINGS_COLUMNS];
};

/* A file of at most 1 MiB. On success the caller owns ret_sightings (sightings_free). */
enum status readings_read(const char *path, struct sightings *ret_sightings, struct notices *notices,
                          struct message *message);
/* The same from memory; `path` is for messages. */
enum status readings_read_text(const char *path, struct span text, struct sightings *ret_sightings,
                               struct notices *notices, struct message *message);

/* One line, as typed live. t_s is the time typed: seconds of the clock or from the start. A time whose
 * meaning `form->times` leaves open is a fault. The caller owns ret_instant (instant_free). */
enum status readings_line(const struct readings_form *form, const char *path, long number, struct span line,
                          struct instant *ret_instant, struct notices *notices, struct message *message);
/* The same, with the time left as typed for a caller that knows the whole file. */
enum status readings_line_typed(const struct readings_form *form, const char *path, long number,
                                struct span line, struct instant *ret_instant, struct typed_time *ret_time,
                                struct notices *notices, struct message *message);

/* The bounds that an amount allows. */
struct amount;
void readings_widen(const struct amount *amount, enum had had, struct sighted *sighted);

/* False for what no pack has: 350 MV typed for 350 mV. For quantities that are channels. */
bool readings_plausible(const struct amount *amount);

/* "seen", "from memory", …; -1 for other words. */
int readings_had(struct span words);

/* True when the file is a hand-readings file and no delimited log: it is called .readings, or most of its
 * first lines, headings apart, read as instants with units. */
bool readings_look_like(const char *path);

#endif
