#include "handmade.h"

#include "numeric/budget.h"
#include "numeric/random.h"

/* Rest, 25.3 A from 100.35 s on, rest from 700.2 s on; volts fall while loaded. */
static void make_block(struct handmade *made, double period_s)
{
    handmade_start(made, (size_t)(900 / period_s) + 2);
    for (double t = 0; t < 900; t += period_s) {
        bool on = t > 100.35 && t < 700.2;
        handmade_reading(made, t, on ? 13.1 - 4e-4 * (t - 100.35) : 13.3, on ? 25.3 : 0);
    }
}

static size_t first_loaded(const struct trace *trace)
{
    size_t k = 0;
    while (trace->a[k] == 0)
        k++;
    return k;
}

static size_t last_loaded(const struct trace *trace)
{
    size_t k = trace->count - 1;
    while (trace->a[k] == 0)
        k--;
    return k;
}

static struct throughput loaded(const struct handmade *made)
{
    const struct trace *trace = &made->trace;
    size_t first = first_loaded(trace), last = last_loaded(trace);
    return throughput_over(&made->basis, first, last, (trace->t_s[first - 1] + trace->t_s[first]) / 2,
                           (trace->t_s[last] + trace->t_s[last + 1]) / 2);
}

TEST(a_block_of_current_lies_within_what_its_edges_allow)
{
    const double truth_ah = 25.3 * (700.2 - 100.35) / 3600;
    const double truth_wh = 25.3 * (700.2 - 100.35) * (13.1 - 2e-4 * (700.2 - 100.35)) / 3600;
    const double periods[] = {0.7, 2.9, 11.3};
    for (size_t k = 0; k < 3; k++) {
        struct handmade made;
        make_block(&made, periods[k]);
        handmade_close(&made, NULL, 0);
        struct throughput through = loaded(&made);
        struct measure ah = throughput_charge_ah(&made.basis, &through, 1);
        struct measure wh = throughput_energy_wh(&made.basis, &through, 1);
        CHECK_NEAR(ah.value, truth_ah, 25.3 * periods[k] / 3600);
        CHECK(ah.lo < truth_ah && truth_ah < ah.hi);
        CHECK(wh.lo < truth_wh && truth_wh < wh.hi);
        /* two edges of half-width h/2 each */
        CHECK_REL(u_of(&ah, CAUSE_STEP_INSTANTS), 25.3 * periods[k] / sqrt(12) * sqrt(2) / 3600, 1e-9);
        /* two equal rectangles make a triangle, whose 95 % is 0.7764 of the whole half-width */
        CHECK_REL(ah.hi - ah.value, (1 - sqrt(0.05)) * 25.3 * periods[k] / 3600, 1e-3);
        handmade_free(&made);
    }
}

TEST(neighbouring_stretches_add_up_to_the_trapezia)
{
    struct handmade made;
    make_block(&made, 3.3);
    handmade_close(&made, NULL, 0);
    const struct trace *trace = &made.trace;
    size_t first = first_loaded(trace), end = trace->count - 1;
    double edge = (trace->t_s[first - 1] + trace->t_s[first]) / 2;
    struct throughput before = throughput_over(&made.basis, 0, first - 1, trace->t_s[0], edge);
    struct throughput after = throughput_over(&made.basis, first, end, edge, trace->t_s[end]);
    CHECK_REL(before.sums.charge_c + after.sums.charge_c,
              integrate_linear(trace->t_s, trace->a, trace->count), 1e-12);
    throughput_add(&before, &after);
    CHECK_NEAR(before.sums.duration_s, trace->t_s[end] - trace->t_s[0], 1e-9);
    handmade_free(&made);
}

/* Each error of the rig alone, against its sensitivity worked out by hand. */
TEST(each_systematic_error_enters_with_its_sensitivity)
{
    struct handmade made;
    make_block(&made, 1.9);
    made.series.resolution[CHANNEL_VOLTAGE] = 0.001;
    made.series.resolution[CHANNEL_CURRENT] = 0.1;
    made.rig.of[CHANNEL_CURRENT] =
        (struct accuracy){.gain = 0.011, .shunt_gain = 0.005, .offset = 0.07, .digits = 3};
    made.rig.of[CHANNEL_VOLTAGE] = (struct accuracy){.gain = 0.004, .offset = 0.02, .digits = 2};
    made.rig.clock = 2e-4;
    made.rig.sense_leads = false;
    made.rig.lead_ohm = 0.002;
    made.rig.lead_halfwidth_ohm = 0.0007;
    handmade_close(&made, NULL, 0);
    struct throughput through = loaded(&made);
    struct measure ah = throughput_charge_ah(&made.basis, &through, 1);
    struct measure wh = throughput_energy_wh(&made.basis, &through, 1);
    struct measure v = throughput_mean_v(&made.basis, &through);
    double hours = through.sums.duration_s / 3600, a = 25.3,
           mean_v = through.sums.volt_s / through.sums.duration_s;
    double square = a * a * hours;
    CHECK_REL(ah.value, a * hours, 1e-12);
    CHECK_REL(u_of(&ah, CAUSE_GAIN_CURRENT), hypot(0.011, 0.005) / sqrt(3) * a * hours, 1e-9);
    CHECK_REL(u_of(&ah, CAUSE_OFFSET_CURRENT), (0.07 + 0.3) / sqrt(3) * hours, 1e-9);
    CHECK_REL(u_of(&ah, CAUSE_CLOCK), 2e-4 / sqrt(3) * a * hours, 1e-9);
    CHECK(isnan(u_of(&ah, CAUSE_GAIN_VOLTAGE)));
    CHECK_REL(wh.value, mean_v * a * hours + 0.002 * square, 1e-9);
    CHECK_REL(u_of(&wh, CAUSE_GAIN_VOLTAGE), 0.004 / sqrt(3) * mean_v * a * hours, 1e-9);
    CHECK_REL(u_of(&wh, CAUSE_OFFSET_VOLTAGE), 0.022 / sqrt(3) * a * hours, 1e-9);
    CHECK_REL(u_of(&wh, CAUSE_OFFSET_CURRENT), 0.37 / sqrt(3) * mean_v * hours, 1e-9);
    CHECK_REL(u_of(&wh, CAUSE_LEADS), 0.0007 / sqrt(3) * square, 1e-9);
    CHECK_REL(v.value, mean_v + 0.002 * a, 1e-9);
    CHECK(isnan(u_of(&v, CAUSE_GAIN_CURRENT)) && isnan(u_of(&v, CAUSE_CLOCK)));
    CHECK_REL(u_of(&v, CAUSE_OFFSET_VOLTAGE), 0.022 / sqrt(3), 1e-9);
    CHECK_REL(u_of(&v, CAUSE_LEADS), 0.0007 * a / sqrt(3), 1e-9);
    handmade_free(&made);
}

TEST(two_amounts_of_one_rig_share_their_gain)
{
    struct handmade made;
    make_block(&made, 1.9);
    made.rig.of[CHANNEL_CURRENT] = (struct accuracy){.gain = 0.02};
    handmade_close(&made, NULL, 0);
    struct throughput through = loaded(&made);
    struct measure ah = throughput_charge_ah(&made.basis, &through, 1);
    struct measure other = measure_scale(&ah, 0.97);
    struct measure difference = measure_sum(&ah, 1, &other, -1);
    CHECK_REL(fabs(u_of(&difference, CAUSE_GAIN_CURRENT)), 0.03 * ah.value * 0.02 / sqrt(3), 1e-9);
    handmade_free(&made);
}

TEST(sure_ripple_is_taken_off_the_energy_and_possible_ripple_bounds_it)
{
    struct handmade made;
    make_block(&made, 1.9);
    handmade_close(&made, NULL, 0);
    struct throughput through = loaded(&made);
    struct measure plain = throughput_energy_wh(&made.basis, &through, 1);
    made.basis.ripple = (struct ripple){.square_lo = 0.1, .square_hi = 0.4, .ohm = 0.012, .ohm_u = 0.001};
    struct measure wh = throughput_energy_wh(&made.basis, &through, 1);
    double square = 25.3 * 25.3 * through.sums.duration_s / 3600;
    CHECK_REL(plain.value - wh.value, 0.012 * 0.1 * square, 1e-9);
    CHECK_REL(u_of(&wh, CAUSE_RIPPLE), hypot(0.012 * 0.3 / sqrt(3), 0.001 * 0.1) * square, 1e-9);
    struct measure ah = throughput_charge_ah(&made.basis, &through, 1);
    CHECK_REL(ah.value, 25.3 * through.sums.duration_s / 3600, 1e-12);
    handmade_free(&made);
}

TEST(a_reading_that_repeats_shares_one_rounding_error)
{
    struct handmade made;
    make_block(&made, 1.9);
    made.series.resolution[CHANNEL_CURRENT] = 0.1;
    handmade_close(&made, NULL, 0);
    struct throughput through = loaded(&made);
    struct measure ah = throughput_charge_ah(&made.basis, &through, 1);
    size_t readings = last_loaded(&made.trace) - first_loaded(&made.trace);
    CHECK_REL(u_of(&ah, CAUSE_RESOLUTION), 0.1 / sqrt(12) * 1.9 * (double)readings / 3600, 1e-9);
    handmade_free(&made);
}

TEST(noise_is_told_from_the_readings_and_averages_out)
{
    struct handmade made;
    enum { COUNT = 4000 };
    handmade_start(&made, COUNT);
    struct random *random = random_new(1203);
    for (int k = 0; k < COUNT; k++)
        handmade_reading(&made, 0.5 * k, 12.9 - 1e-4 * k, 20 + 1e-4 * k + 0.31 * random_normal(random));
    random_free(random);
    handmade_close(&made, NULL, 0);
    struct throughput through = throughput_over(&made.basis, 0, COUNT - 1, 0, 0.5 * (COUNT - 1));
    struct measure ah = throughput_charge_ah(&made.basis, &through, 1);
    CHECK_REL(u_of(&ah, CAUSE_NOISE), 0.31 * 0.5 * sqrt(COUNT) / 3600, 0.06);
    CHECK(!(u_of(&ah, CAUSE_SAMPLING) > 0.35 * u_of(&ah, CAUSE_NOISE)));
    handmade_free(&made);
}

TEST(a_curve_between_samples_shows_in_the_budget)
{
    struct handmade made;
    enum { COUNT = 41 };
    handmade_start(&made, COUNT);
    for (int k = 0; k < COUNT; k++)
        handmade_reading(&made, 60.0 * k, 13, 30 * exp(-60.0 * k / 900));
    handmade_close(&made, NULL, 0);
    struct throughput through = throughput_over(&made.basis, 0, COUNT - 1, 0, 2400);
    struct measure ah = throughput_charge_ah(&made.basis, &through, 1);
    double error = ah.value - 30 * 900 * (1 - exp(-2400.0 / 900)) / 3600;
    CHECK(error > 0 && error < 2 * u_of(&ah, CAUSE_SAMPLING) && error > 0.3 * u_of(&ah, CAUSE_SAMPLING));
    handmade_free(&made);
}

TEST(a_step_within_costs_its_jump_times_half_its_interval)
{
    struct handmade made;
    handmade_start(&made, 200);
    for (int k = 0; k < 200; k++)
        handmade_reading(&made, 2.0 * k, 13, k < 77 ? 10 : 55);
    struct step step = {
        .before = 76, .after = 77, .at_s = 153, .at_halfwidth_s = 1, .from_a = 10, .to_a = 55};
    handmade_close(&made, &step, 1);
    struct throughput through = throughput_over(&made.basis, 0, 199, 0, 398);
    struct measure ah = throughput_charge_ah(&made.basis, &through, 1);
    CHECK_REL(ah.value, (10 * 153.0 + 55 * 245.0) / 3600, 1e-12);
    CHECK_REL(u_of(&ah, CAUSE_STEP_INSTANTS), 45 / sqrt(3) / 3600, 1e-9);
    CHECK(isnan(u_of(&ah, CAUSE_SAMPLING)) && isnan(u_of(&ah, CAUSE_NOISE)));
    handmade_free(&made);
}

TEST(gaps_move_the_middle_and_an_open_one_is_refused)
{
    struct handmade made;
    make_block(&made, 1.9);
    struct gap gap = {.after = 150, .assumed_s = 1.9, .lo_s = 0, .hi_s = 40, .why = "the clock stepped back"};
    series_gap(&made.series, gap);
    handmade_close(&made, NULL, 0);
    struct throughput through = loaded(&made);
    struct measure ah = throughput_charge_ah(&made.basis, &through, 1);
    CHECK_REL(ah.value, 25.3 * (through.sums.duration_s + 20 - 1.9) / 3600, 1e-12);
    CHECK_REL(u_of(&ah, CAUSE_GAP), 25.3 * 20 / sqrt(3) / 3600, 1e-9);
    made.series.gaps[0].hi_s = INFINITY;
    through = loaded(&made);
    ah = throughput_charge_ah(&made.basis, &through, 1);
    CHECK(!measure_known(&ah) && strstr(ah.why, "gap") != NULL);
    made.series.gaps[0].after = 20; /* at rest: no matter */
    through = loaded(&made);
    ah = throughput_charge_ah(&made.basis, &through, 1);
    CHECK(measure_known(&ah) && isnan(u_of(&ah, CAUSE_GAP)));
    handmade_free(&made);
}

/* Amounts scale with their inputs, and a charge is a discharge in a mirror. */
TEST(scaling_and_mirroring)
{
    struct handmade made, scaled, mirrored;
    make_block(&made, 1.9);
    handmade_start(&scaled, made.series.count);
    handmade_start(&mirrored, made.series.count);
    for (size_t k = 0; k < made.series.count; k++) {
        double v = made.series.column[CHANNEL_VOLTAGE][k], a = made.series.column[CHANNEL_CURRENT][k];
        handmade_reading(&scaled, 3 * made.series.t_s[k], 4 * v, 0.5 * a);
        handmade_reading(&mirrored, made.series.t_s[k], v, -a);
    }
    handmade_close(&made, NULL, 0);
    handmade_close(&scaled, NULL, 0);
    handmade_close(&mirrored, NULL, 0);
    struct throughput one = loaded(&made), two = loaded(&scaled), three = loaded(&mirrored);
    struct measure a = throughput_charge_ah(&made.basis, &one, 1),
                   b = throughput_charge_ah(&scaled.basis, &two, 1);
    struct measure c = throughput_charge_ah(&mirrored.basis, &three, -1);
    CHECK_REL(b.value, 1.5 * a.value, 1e-12);
    CHECK_REL(b.u, 1.5 * a.u, 1e-9);
    CHECK_REL(c.value, a.value, 1e-12);
    CHECK_REL(c.u, a.u, 1e-9);
    a = throughput_energy_wh(&made.basis, &one, 1), b = throughput_energy_wh(&scaled.basis, &two, 1);
    CHECK_REL(b.value, 6 * a.value, 1e-12);
    CHECK_REL(b.u, 6 * a.u, 1e-9);
    handmade_free(&made);
    handmade_free(&scaled);
    handmade_free(&mirrored);
}
