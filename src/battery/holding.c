#include "battery/holding.h"

#include "battery/findings.h"

const char *hold_end_name(enum hold_end end)
{
    static const char *const names[] = {"cannot tell", "the board opened", "the load went down", "empty", "the readings end"};
    return names[end];
}

size_t holds_find(const struct series *series, const struct rig *rig, const struct asked *asked,
                  const struct findings *findings, struct hold ret_holds[static HOLDS])
{
    (void)series, (void)rig, (void)asked, (void)findings, (void)ret_holds;
    return 0;
}

size_t low_stops_find(const struct series *series, const struct rig *rig, const struct asked *asked,
                      const struct findings *findings, struct low_stop ret_stops[static LOW_STOPS])
{
    (void)series, (void)rig, (void)asked, (void)findings, (void)ret_stops;
    return 0;
}
