/* Resistances at the steps of the open logs against those computed independently (expected.json).
 *
 * There the volts before are the last reading, whatever their slope, and a delay counts from that reading;
 * here the slope is taken out, and a delay counts from the middle of the interval in which the step fell.
 * So they agree within the interval stated here and what the slope before amounts to over the delay; the
 * first samples, where neither plays a part, agree much closer. */
#include "open_logs.h"

#include "battery/direction.h"
#include "battery/resistance.h"
#include "battery/segment.h"

struct agreement {
    size_t count;
    double off; /* sum of relative departures */
};

static void agree(struct agreement *agreement, const struct measure *ohm, double expected_mohm,
                  double slope_ohm)
{
    if (isnan(expected_mohm))
        return;
    double expected = expected_mohm / 1000;
    CHECK_NEAR(ohm->value, expected, ohm->hi - ohm->value + slope_ohm);
    agreement->count++;
    agreement->off += fabs(ohm->value / expected - 1);
}

static const struct step *step_at(const struct findings *findings, const struct trace *trace, double after_s)
{
    for (size_t k = 0; k < findings->step_count; k++)
        if (fabs(trace->t_s[findings->steps[k].after] - after_s) < 0.01)
            return &findings->steps[k];
    return NULL;
}

static void compare(const struct findings *findings, const struct trace *trace, const json_t *pulses)
{
    struct agreement first = {0}, later = {0};
    size_t missing = 0;
    for (size_t k = 0; k < json_array_size(pulses); k++) {
        const json_t *pulse = json_array_get(pulses, k);
        double t0_s = expected_number(pulse, "t0_s");
        const struct step *step =
            step_at(findings, trace, t0_s + expected_number(pulse, "first_sample_after_s"));
        if (step == NULL) {
            missing++;
            continue;
        }
        size_t earlier = step->before; /* the slope of the ten seconds before */
        while (earlier > 0 && trace->t_s[earlier - 1] >= trace->t_s[step->before] - 10)
            earlier--;
        double span_s = trace->t_s[step->before] - trace->t_s[earlier];
        double slope = span_s > 0 ? fabs((trace->v[step->before] - trace->v[earlier]) / span_s) : 0;
        agree(&first, &step->resistance[0].ohm, expected_number(pulse, "R_first_mohm"), 0);
        for (int r = 1; r < step->resistances; r++) {
            double delay = step->resistance[r].delay_s;
            if (delay > 5)
                agree(&later, &step->resistance[r].ohm,
                      expected_number(pulse, delay > 20 ? "R_30s_mohm" : "R_10s_mohm"),
                      slope * delay / fabs(step->to_a - step->from_a));
        }
    }
    CHECK(missing == 0 && first.count == json_array_size(pulses) && later.count + 2 >= first.count);
    CHECK(first.off < 0.012 * (double)first.count);
    CHECK(later.off < 0.025 * (double)later.count);
}

TEST(pulse_resistances)
{
    size_t logs = 0;
    for (size_t k = 0; k < OPEN_LOGS; k++) {
        struct series series;
        struct trace trace;
        json_t *root;
        if (!open_log_read(&open_logs[k], &series))
            SKIP("the open data are not on this machine");
        direction_apply(&series, open_logs[k].sign);
        CHECK(trace_of_series(&series, &trace));
        struct rig rig = rig_default();
        rig.sense_leads = true;
        struct notices notices = {0};
        struct findings findings = {0};
        CHECK(segment(&trace, &rig, &findings, &notices));
        resistance_find(&series, &trace, &rig, &findings);
        json_t *pulses = json_object_get(open_log_expected(&open_logs[k], &root), "pulses");
        if (json_array_size(pulses) > 0) {
            compare(&findings, &trace, pulses);
            logs++;
        }
        json_decref(root);
        findings_free(&findings);
        notices_free(&notices);
        trace_free(&trace);
        series_free(&series);
    }
    CHECK(logs == 10);
}
