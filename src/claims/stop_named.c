#include "claims/stop_named.h"

#include "claims/label.h"

#include <string.h>
#include <strings.h>

enum { MOST_WORDS = 8 };

static const struct {
    enum trip_way way;
    const char *of[MOST_WORDS], *after_verb[MOST_WORDS]; /* words of a cause: before the noun of a stop, after its verb */
} ways[] = {
    {TRIP_OVER_CURRENT, {"over-current", "overcurrent"}, {"over-current", "overcurrent", "too-much-current"}},
    {TRIP_LOW, {"low-voltage", "under-voltage", "undervoltage", "over-discharge", "overdischarge"}, {"empty", "low-voltage"}},
    {TRIP_HIGH, {"high-voltage", "over-voltage", "overvoltage", "over-charge", "overcharge"}, {"overcharge", "high-voltage"}},
    {TRIP_COLD, {"low-temperature", "low-temp", "under-temperature"}, {"cold", "low-temperature"}},
    {TRIP_HOT, {"high-temperature", "high-temp", "over-temperature", "over-temp"}, {"hot", "heat", "high-temperature"}},
};

/* What follows the first of these words in the slug, right or, `anywhere`, sometime after it; NULL: none is there. */
static const char *after_any(const char *at, const char *const *words, size_t count, bool anywhere)
{
    for (size_t k = 0; at != NULL && k < count && words[k] != NULL; k++) {
        const char *found = anywhere ? strstr(at, words[k]) : strncmp(at, words[k], strlen(words[k])) == 0 ? at : NULL;
        if (found != NULL)
            return found + strlen(words[k]);
    }
    return NULL;
}

/* `over-current protection` */
static bool has_noun(const char *slug, const char *const of[MOST_WORDS])
{
    static const char *const nouns[] = {"-protection", "-cut-off", "-cutoff", "-disconnect", "-shutdown", "-shut-down", "-stop"};
    static const char *const whose[] = {"-charging", "-charge", "-discharging", "-discharge"};
    const char *after = after_any(slug, of, MOST_WORDS, true);
    const char *further = after_any(after, whose, sizeof whose / sizeof whose[0], false);
    return after_any(further != NULL ? further : after, nouns, sizeof nouns / sizeof nouns[0], false) != NULL;
}

/* `charging stops when cold` */
static bool has_verb(const char *slug, const char *const causes[MOST_WORDS])
{
    static const char *const verbs[] = {"stops-", "stop-", "cuts-off-", "disconnects-", "switches-off-", "shuts-off-"};
    static const char *const joins[] = {"when-", "if-", "at-", "on-", "in-"};
    const char *after = after_any(slug, verbs, sizeof verbs / sizeof verbs[0], true);
    return after_any(after_any(after, joins, sizeof joins / sizeof joins[0], false), causes, MOST_WORDS, true) != NULL;
}

static bool says_none(const struct claim *claim)
{
    return strncasecmp(claim->as_stated, "no", 2) == 0 || strncmp(claim->slug, "no-", 3) == 0 ||
           strstr(claim->slug, "-no-") != NULL || strstr(claim->slug, "not-") != NULL || strstr(claim->slug, "never") != NULL ||
           strstr(claim->slug, "without") != NULL;
}

struct stop_named stop_named(const struct claim *claim)
{
    bool out = strstr(claim->slug, "discharg") != NULL, in = !out && strstr(claim->slug, "charg") != NULL;
    for (size_t k = 0; k < sizeof ways / sizeof ways[0] && claim->kind == CLAIM_YES_NO && !says_none(claim); k++) {
        enum trip_way way = ways[k].way;
        bool by_sensor = way == TRIP_COLD || way == TRIP_HOT;
        if (has_noun(claim->slug, ways[k].of) || (has_verb(claim->slug, ways[k].after_verb) && (in || out || !by_sensor)))
            return (struct stop_named){way, way == TRIP_HIGH || (by_sensor && !out) || (way == TRIP_OVER_CURRENT && in)};
    }
    return (struct stop_named){TRIP_UNKNOWN, false};
}
