/* Kinds: the runs of a trace, from the sign of the current and the rest band.
 *
 * A run ends where the current passes into another kind and stays there for `persist` readings, so a
 * one-reading glitch makes no run; at the very start and end of the log a single reading may stand alone,
 * since nothing contradicts it. */
#ifndef RUNDOWN_BATTERY_KINDS_H
#define RUNDOWN_BATTERY_KINDS_H

#include "battery/rest.h"
#include "battery/runs.h"

struct stretch {
    enum run_kind kind;
    size_t first, last;
};

/* *ret_stretches is freed by the caller; they cover the trace. Returns their number, or 0 once there
 * are more than `most` of them. */
size_t kinds_find(const struct trace *trace, const struct envelope *envelope, const struct rest_band *band,
                  size_t persist, size_t most, struct stretch **ret_stretches);

#endif
