#include "battery/findings.h"

struct asked asked_nothing(void)
{
    return (struct asked){
        .rated_ah = NAN, .rated_wh = NAN, .continuous_a = NAN, .peak_a = NAN, .charge_v = NAN,
        .stated_ripple = NAN};
}

const char *run_kind_name(enum run_kind kind)
{
    static const char *const names[] = {"rest", "charge", "discharge"};
    return names[kind];
}

const char *phase_mode_name(enum phase_mode mode)
{
    static const char *const names[] = {"rest",           "constant current",    "constant voltage",
                                        "constant power", "constant resistance", "varying"};
    return names[mode];
}

const char *ended_by_name(enum ended_by ended)
{
    static const char *const names[] = {"cannot tell",   "BMS opened",  "load gave up",  "charger ended it",
                                        "operator stopped it", "log stopped", "next run followed"};
    return names[ended];
}

void findings_free(struct findings *findings)
{
    free(findings->runs);
    free(findings->phases);
    free(findings->steps);
    free(findings->bursts);
    free(findings->pairs);
    free(findings->capacities);
    free(findings->trips);
    free(findings->chargings);
    free(findings->restings);
    free(findings->holds);
    free(findings->low_stops);
    free(findings->warmings);
    *findings = (struct findings){0};
}
