/* The rig file and the label of a rehearsed bench, as `rundown record` takes them (docs/rig.md, docs/instruments.md,
 * docs/label.md). The rig states the very bounds that the meters' errors were drawn from. */
#ifndef RUNDOWN_REHEARSAL_BENCH_RIG_H
#define RUNDOWN_REHEARSAL_BENCH_RIG_H

#include "base/text.h"
#include "rehearsal/rehearsal.h"

/* Where the bench is served, all of it on this machine. */
struct bench_ports {
    int scpi, modbus, lines; /* bench meter, shunt meter, probe */
    const char *mqtt_host;   /* NULL: no broker; else the shunt meter is reached there */
    int mqtt_port;
    const char *mqtt_topic;
};

void bench_rig(const struct rehearsal *rehearsal, const struct bench_ports *ports, double speed,
               struct text *text);
void bench_label(const struct rehearsal *rehearsal, struct text *text);
/* What the bench meter shows, every row of it, as a log for `assess`. */
void bench_log(const struct rehearsal *rehearsal, struct text *text);

#endif
