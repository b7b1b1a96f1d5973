/* intake/readings.h: what is read keeps its invariants; what is refused has a place or no readings. */
#include "intake/readings.h"

#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_value(const struct sighted *value)
{
    bool bounds = value->lo <= value->hi && !isnan(value->lo) && !isnan(value->hi) && value->digit > 0;
    bool middle = isnan(value->value) ? isinf(value->lo) || isinf(value->hi)
                                      : value->lo <= value->value && value->value <= value->hi;
    if (!bounds || !middle || value->column < 1 || value->channel >= CHANNELS || value->had >= HADS)
        abort();
}

static void check_sightings(const struct sightings *sightings)
{
    double before = -INFINITY;
    int clip = 0;
    for (size_t k = 0; k < sightings->count; k++) {
        const struct instant *instant = &sightings->instants[k];
        if (instant->clip < clip || instant->clip >= sightings->clips || (instant->count == 0 && instant->words[0] == '\0'))
            abort();
        if (!sightings->tied && instant->clip != clip)
            before = -INFINITY;
        clip = instant->clip;
        for (size_t v = 0; v < instant->count; v++)
            check_value(&instant->values[v]);
        if (isnan(instant->t_s))
            continue;
        if (!isfinite(instant->t_s) || !isfinite(instant->halfwidth_s) || instant->halfwidth_s < 0 || instant->t_s < before)
            abort();
        before = instant->t_s;
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct notices notices = {0};
    struct message message = {0};
    struct sightings sightings;
    enum status status = readings_read_text("fuzz.readings", (struct span){(const char *)data, size}, &sightings, &notices,
                                            &message);
    if (status == STATUS_OK) {
        check_sightings(&sightings);
        sightings_free(&sightings);
    } else if (message.what[0] == '\0' || message.remedy[0] == '\0' || (status != STATUS_UNREADABLE && message.line < 1)) {
        abort();
    }
    notices_free(&notices);
    return 0;
}
