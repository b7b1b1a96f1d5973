#include "quantity/sightings.h"

void sightings_free(struct sightings *sightings)
{
    for (size_t k = 0; k < sightings->count; k++) {
        free(sightings->instants[k].values);
        free(sightings->instants[k].words);
    }
    free(sightings->instants);
    *sightings = (struct sightings){.start_utc_s = NAN};
}

const char *had_name(enum had had)
{
    static const char *const names[HADS] = {"seen", "filmed", "printed", "remembered", "inferred"};
    return names[had];
}
