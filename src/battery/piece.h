/* Piece: the sums of a short stretch of readings, in one pass of two lanes; the ledger's inner loop. */
#ifndef RUNDOWN_BATTERY_PIECE_H
#define RUNDOWN_BATTERY_PIECE_H

#include "battery/ledger.h"

enum { PIECE_READINGS = 2048 }; /* its three columns fit the second cache */

/* Readings first…last, at most PIECE_READINGS + 1 of them. */
struct sums piece_sums(const struct trace *trace, size_t first, size_t last);

/* Adds (sign 1) or takes out (-1) the bend and the turn at reading k, 0 < k < count - 1. */
void piece_corner(const struct trace *trace, size_t k, double sign, struct sums *sums);

#endif
