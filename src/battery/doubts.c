#include "battery/doubts.h"

static void say_left_out(const struct basis *basis, struct notices *notices)
{
    const struct trace *trace = basis->trace;
    if (trace->left_out > 0)
        notices_add(notices, "readings", 0,
                    "%zu of %zu readings lack volts or amps; integrals go straight past them",
                    trace->left_out, trace->left_out + trace->count);
}

static void say_beginning(const struct findings *findings, struct notices *notices)
{
    bool under_way = findings->has_test && findings->test_first_run == 0
                         ? findings->beginning_unseen
                         : findings->run_count > 0 && findings->runs[0].kind != RUN_REST;
    if (under_way)
        notices_add(notices, "sampling", 0,
                    "The log begins while current flows; what had flowed before is not in the findings");
}

static void say_rest_current(const struct basis *basis, const struct findings *findings,
                             const struct throughput *throughs, struct notices *notices)
{
    struct throughput rest = {0};
    double readings = 0;
    for (size_t k = 0; k < findings->run_count; k++) {
        if (findings->runs[k].kind != RUN_REST)
            continue;
        throughput_add(&rest, &throughs[k]);
        readings += (double)throughs[k].sums.intervals + 1;
    }
    double duration = rest.sums.duration_s;
    if (!(duration > 0))
        return;
    double mean = rest.sums.charge_c / duration, digit = basis->series->resolution[CHANNEL_CURRENT];
    double spread = fmax(sqrt(rest.sums.width2_s2) / duration, 1 / sqrt(readings)); /* of their mean */
    double noise = isfinite(basis->noise_a) ? basis->noise_a * spread : 0;
    double bound = accuracy_offset(&basis->rig->of[CHANNEL_CURRENT], digit) + digit / 2 + 3 * noise;
    if (fabs(mean) <= bound || !findings->has_test)
        return;
    double ah = fabs(mean) * findings->test_duration_s.value / 3600;
    if (ah < findings->test_ah.u / 10)
        return; /* it would not show */
    notices_add(notices, "rig", 0,
                "At rest the current reads %.3g A on average, more than the rig's offset of %.2g A. Either "
                "something flowed or the meter is off; nothing is subtracted, and over the test it would "
                "come to %.3g Ah",
                mean, accuracy_offset(&basis->rig->of[CHANNEL_CURRENT], digit), ah);
}

static void say_holes(const struct findings *findings, const struct throughput *throughs,
                      struct notices *notices)
{
    size_t holes = 0;
    double longest = 0;
    for (size_t k = 0; k < findings->run_count; k++) {
        const struct sums *sums = &throughs[k].sums;
        if (findings->runs[k].kind == RUN_REST || sums->intervals == 0)
            continue;
        /* the length of the interval in which the average moment lies */
        double usual = sums->width2_s2 / sums->duration_s;
        bool hole = sums->longest_s > HOLE_PERIODS * findings->period_s && sums->longest_s > 2 * usual;
        holes += hole;
        longest = hole ? fmax(longest, sums->longest_s) : longest;
    }
    if (holes > 0)
        notices_add(
            notices, "sampling", 0,
            "%zu run%s of current hold%s intervals without readings, up to %.0f s long; what happened in "
            "them is taken as straight, and the budget allows for as much wandering as the "
            "readings around show",
            holes, holes == 1 ? "" : "s", holes == 1 ? "s" : "", longest);
}

static void say_gaps(const struct basis *basis, const struct findings *findings,
                     const struct throughput *throughs, struct notices *notices)
{
    size_t open = 0;
    for (size_t k = 0; k < findings->run_count; k++)
        open += throughs[k].unbounded && findings->runs[k].kind != RUN_REST;
    if (open > 0)
        notices_add(
            notices, "clock", 0,
            "In %zu run%s the log's clock has a gap that nothing bounds while current flowed, so their "
            "amounts cannot be told",
            open, open == 1 ? "" : "s");
    if (basis->series->gap_count > 0)
        notices_add(
            notices, "clock", 0,
            "The log's clock has %zu gap%s; what flowed between two of its clocks, and was not logged, "
            "is not in the findings",
            basis->series->gap_count, basis->series->gap_count == 1 ? "" : "s");
}

void doubts_say(const struct basis *basis, const struct findings *findings, const struct throughput *throughs,
                struct notices *notices)
{
    say_left_out(basis, notices);
    say_beginning(findings, notices);
    say_rest_current(basis, findings, throughs, notices);
    say_holes(findings, throughs, notices);
    say_gaps(basis, findings, throughs, notices);
}
