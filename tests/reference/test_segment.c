/* Runs found in the open logs against those computed independently (expected.json), and the direction
 * of the current against each log's SOURCE.md. */
#include "open_logs.h"

#include "battery/direction.h"
#include "battery/segment.h"

TEST(direction)
{
    for (size_t k = 0; k < OPEN_LOGS; k++) {
        struct series series;
        struct trace trace;
        if (!open_log_read(&open_logs[k], &series))
            SKIP("the open data are not on this machine");
        CHECK(trace_of_series(&series, &trace));
        struct direction direction = direction_find(&trace);
        if (direction.sign != open_logs[k].sign)
            printf("    %s: %s\n", open_logs[k].name, direction.why);
        CHECK(direction.sign == open_logs[k].sign);
        trace_free(&trace);
        series_free(&series);
    }
}

/* The interval between readings beside reading k. */
static double interval(const struct trace *trace, size_t k)
{
    double before = k > 0 ? trace->t_s[k] - trace->t_s[k - 1] : 0;
    double after = k + 1 < trace->count ? trace->t_s[k + 1] - trace->t_s[k] : 0;
    return fmax(before, after);
}

/* The independent computation parts a charge wherever one reading stands at zero, and takes the last
 * tenth of an ampere of a charge's tail for rest; here neither ends a run. */
static bool is_tail(const struct trace *trace, const struct run *run, double end_s)
{
    if (run->kind != RUN_CHARGE)
        return false;
    for (size_t k = run->first; k <= run->last; k++)
        if (trace->t_s[k] > end_s && trace->a[k] < -0.25)
            return false;
    return true;
}

static void compare(const struct trace *trace, const struct findings *findings, const json_t *steps)
{
    size_t used = 0, loaded = 0;
    for (size_t r = 0; r < findings->run_count; r++) {
        const struct run *run = &findings->runs[r];
        if (run->kind == RUN_REST)
            continue;
        loaded++;
        double from = trace->t_s[run->first], to = trace->t_s[run->last], end = NAN;
        size_t within = 0;
        for (; used < json_array_size(steps); used++, within++) {
            const json_t *step = json_array_get(steps, used);
            double start = expected_number(step, "t_start_s");
            if (start > to)
                break;
            CHECK_TEXT(run_kind_name(run->kind), json_string_value(json_object_get(step, "kind")));
            if (within == 0)
                CHECK_NEAR(from, start, interval(trace, run->first));
            else
                CHECK(run->kind == RUN_CHARGE && start - end < 3 * 60.5);
            end = expected_number(step, "t_end_s");
        }
        CHECK(within > 0);
        if (!is_tail(trace, run, end))
            CHECK_NEAR(to, end, interval(trace, run->last));
    }
    CHECK(used == json_array_size(steps) && loaded > 0);
}

TEST(runs)
{
    for (size_t k = 0; k < OPEN_LOGS; k++) {
        struct series series;
        struct trace trace;
        json_t *root;
        if (!open_log_read(&open_logs[k], &series))
            SKIP("the open data are not on this machine");
        direction_apply(&series, open_logs[k].sign);
        CHECK(trace_of_series(&series, &trace));
        struct rig rig = rig_default();
        struct notices notices = {0};
        struct findings findings = {0};
        CHECK(segment(&trace, &rig, &findings, &notices));
        json_t *expected = open_log_expected(&open_logs[k], &root);
        CHECK(expected != NULL && notices.count == 0);
        compare(&trace, &findings, json_object_get(expected, "steps"));
        json_decref(root);
        findings_free(&findings);
        notices_free(&notices);
        trace_free(&trace);
        series_free(&series);
    }
}

/* The pulses of the pulse tests, each a phase of its own, from the first reading to the last. */
TEST(pulses)
{
    static const char *const names[] = {"hppc_clean_20degC.csv", "hppc_raw_10pct_20degC.txt",
                                        "hppc_25degC.csv"};
    for (size_t n = 0; n < 3; n++) {
        const struct open_log *log = open_log_named(names[n]);
        struct series series;
        struct trace trace;
        json_t *root;
        if (!open_log_read(log, &series))
            SKIP("the open data are not on this machine");
        direction_apply(&series, log->sign);
        CHECK(trace_of_series(&series, &trace));
        struct rig rig = rig_default();
        struct notices notices = {0};
        struct findings findings = {0};
        CHECK(segment(&trace, &rig, &findings, &notices));
        const json_t *pulses = json_object_get(open_log_expected(log, &root), "pulses");
        for (size_t p = 0; p < json_array_size(pulses); p++) {
            const json_t *pulse = json_array_get(pulses, p);
            double start = expected_number(pulse, "t0_s") + expected_number(pulse, "first_sample_after_s");
            double end = expected_number(pulse, "t0_s") + expected_number(pulse, "duration_s");
            size_t found = 0;
            for (size_t k = 0; k < findings.phase_count; k++) {
                const struct phase *phase = &findings.phases[k];
                found += fabs(trace.t_s[phase->first] - start) < 1e-3 &&
                         trace.t_s[phase->last] >= end - 0.6 && phase->start_s < start &&
                         findings.steps[0].at_s < end;
            }
            CHECK(found == 1);
        }
        CHECK(json_array_size(pulses) >= 20 && findings.step_count >= 2 * json_array_size(pulses));
        json_decref(root);
        findings_free(&findings);
        notices_free(&notices);
        trace_free(&trace);
        series_free(&series);
    }
}
