/* Probe: each instrument of a rig tried for a moment, before a test depends on it.
 *
 * Every instrument is connected and heard on a thread of its own; nothing is kept. Noise is taken from the
 * differences of successive readings (rms over √2: J. von Neumann et al., Ann. Math. Statist. 12 (1941) 153, from memory), so
 * that a pack that sags meanwhile does not pass for noise. */
#ifndef RUNDOWN_INSTRUMENT_PROBE_H
#define RUNDOWN_INSTRUMENT_PROBE_H

#include "instrument/driver.h"

#include <stdbool.h>
#include <stddef.h>

struct probe_channel {
    size_t count, overloads; /* readings with a value; with an overload mark */
    double value;            /* the last, own unit; NaN when none came */
    double digit; /* one step of the last digit as it came, the finest seen, own unit; NaN unknown */
    double noise; /* standard, own unit; NaN with fewer than three values */
};

struct probe {
    const struct link *link;
    char identity[128];
    size_t readings, garbage;
    struct message fault; /* STATUS_OK: none. The last garbage when there was nothing worse */
    struct probe_channel channels[LINK_CHANNELS];
};

/* Asked and told while it goes on, from several threads; each may be NULL. */
struct probe_watch {
    bool (*stopped)(void *context); /* end early; what was heard until then stands in the probes */
    void (*progress)(void *context, double share);
    void *context;
};

/* Listens for `seconds` of the clock; `ret_probes` has room for links->count. Fails, before anything is opened, on
 * a fault of the rig file; what an instrument does wrong stands in its probe. A driver that is not `among`, such
 * as a replay, is a fault of its probe alone. `watch` may be NULL. */
enum status probe_all(const struct links *links, const struct driver *const *among, const struct clock *clock,
                      double seconds, const struct probe_watch *watch, struct probe *ret_probes,
                      struct message *message);

#endif
