/* Prints the resistances found in one open log, a line each: instant of the step, delay, ohms, half-width
 * of the 95 % interval. For pulse_resistance.py, which computes the same in its own way. */
#include "open_logs.h"

#include "battery/direction.h"
#include "battery/resistance.h"
#include "battery/segment.h"

TEST(print)
{
    static const char *const names[] = {"hppc_25degC.csv", "discharge_1C.csv", "hppc_clean_20degC.csv"};
    for (size_t n = 0; n < sizeof names / sizeof *names; n++) {
        const struct open_log *log = open_log_named(names[n]);
        struct series series;
        struct trace trace;
        if (!open_log_read(log, &series))
            SKIP("the open data are not on this machine");
        direction_apply(&series, log->sign);
        CHECK(trace_of_series(&series, &trace));
        struct rig rig = rig_default();
        rig.sense_leads = true;
        struct notices notices = {0};
        struct findings findings = {0};
        CHECK(segment(&trace, &rig, &findings, &notices));
        resistance_find(&series, &trace, &rig, &findings);
        for (size_t k = 0; k < findings.step_count; k++)
            for (int r = 0; r < findings.steps[k].resistances; r++) {
                const struct resistance *one = &findings.steps[k].resistance[r];
                if (measure_known(&one->ohm))
                    printf("%s/%s,%.6f,%.6f,%.9f,%.9f\n", log->folder, log->name, findings.steps[k].at_s,
                           one->delay_s, one->ohm.value, one->ohm.hi - one->ohm.value);
            }
        findings_free(&findings);
        notices_free(&notices);
        trace_free(&trace);
        series_free(&series);
    }
}
