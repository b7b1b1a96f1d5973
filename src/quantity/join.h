/* Join: the streams of several instruments become one series.
 *
 * The instants are those of the stream that carries the current (else the voltage, else the first that has
 * readings). A channel of another stream is taken there by the straight line between its two neighbours, when
 * these are no further apart than `within` of that stream's median periods and no gap lies between them, and is
 * NaN otherwise: nothing is carried across a gap, nor beyond a stream's ends.
 *
 * Volts taken so belong to an instant that is known only to about the distance of the nearer neighbour: the skew
 * is the half-width of the rectangle whose standard deviation is the root mean square of these distances (GUM
 * 4.3.7), and at most the largest of them; half a period where the streams run free of each other. */
#ifndef RUNDOWN_QUANTITY_JOIN_H
#define RUNDOWN_QUANTITY_JOIN_H

#include "base/status.h"
#include "quantity/series.h"

/* `streams` share one clock and are in the order of preference for a channel that two of them carry. The result
 * has the gaps of the stream that gave the instants, and the marks of all. `ret_skew_s` gets the half-width of
 * volts against amps that the joining itself causes: 0 when one stream carries both. */
enum status series_join(const struct series *streams, size_t count, double within, struct series *ret_series,
                        double *ret_skew_s, struct message *message);

#endif
