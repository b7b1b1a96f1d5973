#include "quantity/sightings.h"

void instant_free(struct instant *instant)
{
    free(instant->values);
    free(instant->words);
    *instant = (struct instant){.t_s = NAN};
}

void sightings_free(struct sightings *sightings)
{
    for (size_t k = 0; k < sightings->count; k++)
        instant_free(&sightings->instants[k]);
    free(sightings->instants);
    *sightings = (struct sightings){.start_utc_s = NAN};
}

const char *had_name(enum had had)
{
    static const char *const names[HADS] = {"seen", "filmed", "printed", "remembered", "inferred"};
    return names[had];
}
