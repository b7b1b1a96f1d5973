#include "handmade.h"

#include "battery/edges.h"

/* Rest read every 60 s, then a load read every second that the next rest reading, a minute after the last
 * loaded one, ends. */
static void make(struct handmade *made, struct run runs[3], double rest_s)
{
    handmade_start(made, 200);
    double t = 0;
    for (int k = 0; k < 10; k++, t += rest_s)
        handmade_reading(made, t, 13.3, 0);
    for (int k = 0; k < 50; k++, t += 1)
        handmade_reading(made, t, 12.9, 30);
    t += rest_s - 1;
    for (int k = 0; k < 10; k++, t += rest_s)
        handmade_reading(made, t, 13.2, 0);
    handmade_close(made, NULL, 0);
    const double *times = made->trace.t_s;
    runs[0] = (struct run){.kind = RUN_REST, .first = 0, .last = 9};
    runs[1] = (struct run){.kind = RUN_DISCHARGE, .first = 10, .last = 59};
    runs[2] = (struct run){.kind = RUN_REST, .first = 60, .last = 69};
    for (int k = 0; k < 2; k++)
        runs[k].end_s = runs[k + 1].start_s = (times[runs[k].last] + times[runs[k + 1].first]) / 2;
}

TEST(the_cadence_of_the_loaded_side_bounds_the_edge)
{
    struct handmade made;
    struct run runs[3];
    make(&made, runs, 60);
    struct step steps[2] = {{.before = 9, .after = 10}, {.before = 59, .after = 60}};
    struct findings findings = {.runs = runs, .run_count = 3, .steps = steps, .step_count = 2};
    edges_place(&made.trace, &findings);
    CHECK_NEAR(runs[0].end_s, made.trace.t_s[10] - 0.5, 1e-9);
    CHECK_NEAR(runs[1].end_s, made.trace.t_s[59] + 0.5, 1e-9);
    CHECK_NEAR(runs[2].start_s, runs[1].end_s, 0);
    CHECK_NEAR(steps[1].at_s, runs[1].end_s, 0);
    CHECK_NEAR(steps[1].at_halfwidth_s, 0.5, 1e-9);
    made.basis.steps = steps, made.basis.step_count = 2;
    struct throughput through = throughput_over(&made.basis, 10, 59, runs[1].start_s, runs[1].end_s);
    struct measure ah = throughput_charge_ah(&made.basis, &through, 1);
    CHECK_REL(ah.value, 30 * 50.0 / 3600, 1e-9);
    through = throughput_over(&made.basis, 60, 69, runs[2].start_s, made.trace.t_s[69]);
    struct measure s = throughput_duration_s(&made.basis, &through);
    CHECK_REL(u_of(&s, CAUSE_STEP_INSTANTS), 0.5 / sqrt(3), 1e-9);
    handmade_free(&made);
}

/* The same hole, but rest is read every second too: then it is a hole, and nothing bounds the edge in it,
 * unless the sample went dark and took the meter with it. */
TEST(a_hole_at_an_edge_stays_open_unless_the_sample_went_dark)
{
    struct handmade made;
    struct run runs[3];
    make(&made, runs, 1);
    for (size_t k = 60; k < 70; k++)
        made.series.t_s[k] += 1800;
    runs[1].end_s = runs[2].start_s = (made.trace.t_s[59] + made.trace.t_s[60]) / 2;
    struct findings findings = {.runs = runs, .run_count = 3};
    edges_place(&made.trace, &findings);
    CHECK_NEAR(runs[1].end_s, made.trace.t_s[59] + 900.5, 1e-9);
    runs[1].ended.dark = true;
    edges_place(&made.trace, &findings);
    CHECK_NEAR(runs[1].end_s, made.trace.t_s[59] + 0.5, 1e-9);
    /* Dark, and seen by a meter that lived on and would have read it each second: the rows are lost. */
    for (size_t k = 60; k < 70; k++)
        made.series.column[CHANNEL_VOLTAGE][k] = 0.3;
    runs[1].end_s = runs[2].start_s = (made.trace.t_s[59] + made.trace.t_s[60]) / 2;
    edges_place(&made.trace, &findings);
    CHECK_NEAR(runs[1].end_s, made.trace.t_s[59] + 900.5, 1e-9);
    handmade_free(&made);
}
