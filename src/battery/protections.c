#include "battery/protections.h"

#include "base/memory.h"
#include "battery/trips.h"

#include <string.h>

/* The list cut to what was found; NULL without any. */
static void *cut(void *list, size_t count, size_t size)
{
    void *kept = count > 0 ? memory_get(count * size) : NULL;
    if (count > 0)
        memcpy(kept, list, count * size);
    free(list);
    return kept;
}

void protections_find(const struct watched *watched, struct findings *findings)
{
    struct trip *trips = memory_get(TRIPS * sizeof *trips);
    findings->trip_count = trips_find(watched, trips);
    findings->trips = cut(trips, findings->trip_count, sizeof *trips);
    struct hold *holds = memory_get(HOLDS * sizeof *holds);
    findings->hold_count = holds_find(watched, holds);
    findings->holds = cut(holds, findings->hold_count, sizeof *holds);
    holds_say(findings);
    struct low_stop *low_stops = memory_get(LOW_STOPS * sizeof *low_stops);
    findings->low_stop_count = low_stops_find(watched, low_stops);
    findings->low_stops = cut(low_stops, findings->low_stop_count, sizeof *low_stops);
    struct warming *warmings = memory_get(WARMINGS * sizeof *warmings);
    findings->warming_count = warming_find(watched, warmings);
    findings->warmings = cut(warmings, findings->warming_count, sizeof *warmings);
}

void protections_of_series(const struct series *series, const struct rig *rig, const struct asked *asked,
                           struct findings *findings)
{
    struct told *told = memory_get((series->mark_count + 1) * sizeof *told);
    for (size_t k = 0; k < series->mark_count; k++)
        told[k] = (struct told){series->marks[k].t_s, rig->frame_s > 0 ? rig->frame_s : MARKED_WITHIN_S, series->marks[k].words};
    struct watched watched = {
        .rig = rig, .asked = asked, .findings = findings, .t_s = series->t_s, .count = series->count, .timed = true,
        .v = series->column[CHANNEL_VOLTAGE], .a = series->column[CHANNEL_CURRENT], .degc = series->column[CHANNEL_TEMPERATURE],
        .digit_v = series->resolution[CHANNEL_VOLTAGE], .digit_a = series->resolution[CHANNEL_CURRENT],
        .digit_degc = series->resolution[CHANNEL_TEMPERATURE], .told = told, .told_count = series->mark_count};
    protections_find(&watched, findings);
    free(told);
}
