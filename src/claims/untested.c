#include "claims/untested.h"

/* Whether any record has what the finder looks for. */
typedef bool looked_for(const struct findings *findings);

static bool in_any(const struct assessment *assessment, looked_for *has)
{
    for (size_t r = 0; r < assessment->record_count; r++)
        if (has(&assessment->records[r].findings))
            return true;
    return false;
}

static bool has_test(const struct findings *findings)
{
    return findings->has_test;
}

static bool has_charge(const struct findings *findings)
{
    return findings->charging_count > 0;
}

static bool has_stop(const struct findings *findings, enum trip_way way)
{
    for (size_t k = 0; k < findings->trip_count; k++)
        if (findings->trips[k].charging && findings->trips[k].way == way)
            return true;
    return false;
}

static bool has_cold_stop(const struct findings *findings)
{
    return has_stop(findings, TRIP_COLD);
}

static bool has_hot_stop(const struct findings *findings)
{
    return has_stop(findings, TRIP_HOT);
}

static bool has_low_stop(const struct findings *findings)
{
    for (size_t k = 0; k < findings->run_count; k++)
        if (findings->runs[k].kind == RUN_DISCHARGE && findings->runs[k].ended.by == ENDED_BMS)
            return true;
    return false;
}

size_t untested_parts(const struct assessment *assessment, const char *ret_parts[static UNTESTED_PARTS])
{
    static const struct {
        looked_for *has;
        const char *words;
    } parts[] = {
        {has_test, "what it delivers"},
        {has_charge, "its charge"},
        {has_cold_stop, "whether it stops a charge in the cold"},
        {has_hot_stop, "whether it stops a charge in the heat"},
        {has_low_stop, "whether it stops when empty"},
    };
    size_t count = 0;
    for (size_t k = 0; k < sizeof parts / sizeof parts[0]; k++)
        if (!in_any(assessment, parts[k].has))
            ret_parts[count++] = parts[k].words;
    if (!assessment->has_opened)
        ret_parts[count++] = "its inside";
    return count;
}
