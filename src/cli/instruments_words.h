/* What `rundown instruments` says, as text and as JSON. */
#ifndef RUNDOWN_CLI_INSTRUMENTS_WORDS_H
#define RUNDOWN_CLI_INSTRUMENTS_WORDS_H

#include "base/text.h"
#include "instrument/devices.h"
#include "instrument/probe.h"
#include "quantity/accuracy.h"

/* What the rig's accuracy means at a reading: a half-width, own unit; NaN where the channel has none, or its digits
 * are not known. */
double instruments_bound(const struct rig *rig, const struct link_channel *channel,
                         const struct probe_channel *heard);

void instruments_probe_words(const struct rig *rig, const struct probe *probes, size_t count,
                             struct text *text);
void instruments_probe_json(const struct rig *rig, const struct probe *probes, size_t count,
                            struct text *text);
void instruments_list_words(const struct devices *devices, const struct driver *const *among,
                            struct text *text);
void instruments_list_json(const struct devices *devices, const struct driver *const *among,
                           struct text *text);

#endif
