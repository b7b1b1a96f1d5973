/* Edges: where between two readings a run gave way to the next.
 *
 * In general anywhere between the two readings. But a logger that reads a loaded sample every second
 * and a resting one every minute leaves a minute between the last loaded reading and the first at rest
 * although the load went within a second: had it stayed, it would have been read again. So where the
 * interval is longer than the cadence of the run with the larger current, and the cadence of the other
 * run (or a meter that went dark with the sample) explains it, the edge lies within one cadence of the larger current's
 * reading. An interval is longer than its cadence from one and a half times on: a reading is missing.
 *
 * A log whose meter went dark with the sample ends half a cadence after its last reading. */
#ifndef RUNDOWN_BATTERY_EDGES_H
#define RUNDOWN_BATTERY_EDGES_H

#include "battery/findings.h"
#include "quantity/series.h"

/* Moves the edges of runs, of their outer phases, and the steps that lie at them. */
void edges_place(const struct trace *trace, struct findings *findings);

#endif
