/* Join: the streams of several instruments become one series.
 *
 * The instants are those of the stream that carries the current (else the voltage, else the first). A channel of
 * another stream is taken there by the straight line between its two neighbours, when these are no further apart
 * than `within` of its own median periods, and is NaN otherwise: nothing is carried across a gap. How far the
 * neighbours were away is the skew that the rig then has at least. */
#ifndef RUNDOWN_QUANTITY_JOIN_H
#define RUNDOWN_QUANTITY_JOIN_H

#include "base/status.h"
#include "quantity/series.h"

/* `streams` are in the order of preference for a channel that two of them carry. `ret_skew_s` gets the half-width
 * of volts against amps that the joining itself causes: 0 when one stream carries both. */
enum status series_join(const struct series *streams, size_t count, double within, struct series *ret_series,
                        double *ret_skew_s, struct message *message);

#endif
