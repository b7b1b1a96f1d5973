#include "battery/segment.h"
#include "check.h"
#include "numeric/random.h"

enum { ROWS = 400000 };

/* A log in the making. */
static struct {
    double t_s[ROWS], v[ROWS], a[ROWS];
    size_t count;
    struct random *random;
    double noise_a, digit_a;
} log_;
static struct findings found;
static struct notices notices;

static void begin(double noise_a, double digit_a, uint32_t seed)
{
    random_free(log_.random);
    log_.random = random_new(seed);
    log_.count = 0;
    log_.noise_a = noise_a;
    log_.digit_a = digit_a;
}

static void reading(double t_s, double a)
{
    double shown = a + log_.noise_a * random_normal(log_.random);
    if (log_.digit_a > 0)
        shown = round(shown / log_.digit_a) * log_.digit_a;
    CHECK(log_.count < ROWS);
    log_.t_s[log_.count] = t_s;
    log_.v[log_.count] = 13.2 - 0.01 * a + 0.002 * random_normal(log_.random);
    log_.a[log_.count++] = shown;
}

static double last_s(void)
{
    return log_.count > 0 ? log_.t_s[log_.count - 1] : 0;
}

static void stretch(double seconds, double period_s, double a)
{
    size_t n = (size_t)(seconds / period_s + 0.5);
    double from = last_s() + (log_.count > 0 ? period_s : 0);
    for (size_t k = 0; k < n; k++)
        reading(from + (double)k * period_s, a);
}

static void cut(void)
{
    struct trace trace = {.count = log_.count, .t_s = log_.t_s, .v = log_.v, .a = log_.a};
    struct rig rig = rig_default();
    findings_free(&found);
    notices_free(&notices);
    CHECK(segment(&trace, &rig, &found, &notices));
    for (size_t k = 0; k < found.phase_count; k++) { /* the phases cover the log, and belong to their runs */
        const struct phase *phase = &found.phases[k];
        CHECK(phase->first == (k > 0 ? found.phases[k - 1].last + 1 : 0));
        CHECK(phase->kind == found.runs[phase->run].kind);
    }
    CHECK(found.phases[found.phase_count - 1].last == log_.count - 1);
}

static void expect(size_t runs, size_t phases, size_t steps)
{
    cut();
    CHECK_NEAR((double)found.run_count, (double)runs, 0);
    CHECK_NEAR((double)found.phase_count, (double)phases, 0);
    CHECK_NEAR((double)found.step_count, (double)steps, 0);
}

TEST(a_glitch_is_no_step_and_no_run)
{
    begin(0.02, 0, 1);
    stretch(50, 1, 0.008);
    reading(last_s() + 1, 19.7);
    stretch(49, 1, 0.008);
    stretch(300, 1, 20);
    reading(last_s() + 1, 0);
    stretch(200, 1, 20);
    reading(last_s() + 1, 63);
    stretch(200, 1, 20);
    stretch(60, 1, 0.008);
    expect(3, 3, 2);
}

TEST(an_hour_of_levels_without_noise_is_levels)
{
    begin(0, 0, 0); /* a row a minute, and nothing but the steps changes */
    stretch(6 * 60, 60, 0);
    stretch(14 * 60, 60, 24);
    stretch(6 * 60, 60, 90);
    stretch(29 * 60, 60, 24);
    stretch(5 * 60, 60, 0);
    expect(3, 5, 4);
}

TEST(a_burst_of_one_reading_that_ends_the_run)
{
    begin(0.02, 0, 1);
    stretch(50, 1, 0.008);
    stretch(300, 1, 20);
    reading(last_s() + 1, 171);
    stretch(60, 1, 0.008);
    expect(3, 4, 3);
    CHECK(found.phases[2].first == found.phases[2].last);
    CHECK_NEAR(found.phases[2].mean_a, 171, 0.1);
    CHECK_NEAR(found.phases[1].mean_a, 20, 0.02);
    begin(0.02, 0, 1); /* on its way to nothing */
    stretch(50, 1, 0.008);
    stretch(300, 1, 20);
    reading(last_s() + 1, 13);
    stretch(60, 1, 0.008);
    expect(3, 3, 2);
}

TEST(a_short_pulse_is_one)
{
    begin(0.03, 0.01, 2);
    stretch(30, 0.1, 0);
    stretch(0.2, 0.1, 31); /* two readings */
    stretch(30, 0.1, 0);
    stretch(90, 0.1, 5);
    stretch(0.3, 0.1, 44);
    stretch(90, 0.1, 5);
    expect(4, 6, 5);
    CHECK(found.phases[1].pulse && found.phases[4].pulse);
    CHECK(!found.phases[0].pulse && !found.phases[2].pulse && !found.phases[3].pulse);
    CHECK_NEAR(found.phases[1].end_s - found.phases[1].start_s, 0.2, 1e-9);
    CHECK_NEAR(found.steps[3].from_a, 5, 0.05);
    CHECK_NEAR(found.steps[3].to_a, 44, 0.05);
}

/* Volts that fall ever faster towards the end, and the current of an inverter with them. */
static void constant_power(double seconds, double period_s, double watts)
{
    double from = last_s() + period_s;
    for (double s = 0; s < seconds; s += period_s) {
        double v = 13.1 - 0.3 * s / seconds - 2.8 * exp((s - seconds) / (seconds / 40));
        reading(from + s, watts / v);
        log_.v[log_.count - 1] = v;
    }
}

TEST(the_knee_of_a_constant_power_load_is_no_step)
{
    static const double periods[] = {1, 10, 60};
    for (int k = 0; k < 3; k++) {
        begin(0.02, 0.1, 3);
        stretch(600, 60, 0);
        constant_power(14000, periods[k], 310);
        stretch(600, periods[k], 0);
        expect(3, 3, 2);
        CHECK(found.phases[1].mode == MODE_CONSTANT_POWER);
        CHECK_NEAR(found.steps[1].from_a, 30, 2.5);
    }
}

TEST(what_a_load_holds)
{
    begin(0.01, 0, 4);
    constant_power(9000, 5, 310);
    cut();
    CHECK(found.phase_count == 1 && found.phases[0].mode == MODE_CONSTANT_POWER);
    for (size_t k = 0; k < log_.count; k++)
        log_.a[k] = log_.v[k] / 0.55 + 0.01 * random_normal(log_.random);
    cut();
    CHECK(found.phase_count == 1 && found.phases[0].mode == MODE_CONSTANT_RESISTANCE);
    for (size_t k = 0; k < log_.count; k++)
        log_.a[k] = 24 + 0.01 * random_normal(log_.random);
    cut();
    CHECK(found.phase_count == 1 && found.phases[0].mode == MODE_CONSTANT_CURRENT);
    for (size_t k = 0; k < log_.count; k++)
        log_.a[k] = 24 + 3 * sin((double)k / 90) + 0.01 * random_normal(log_.random);
    cut();
    CHECK(found.phase_count == 1 && found.phases[0].mode == MODE_VARYING);
}

TEST(a_charge_parts_where_its_volts_are_held)
{
    begin(0.02, 0.01, 5);
    stretch(100, 1, 0);
    double from = last_s() + 1;
    for (int s = 0; s < 9000; s++) {
        bool held = s > 6000;
        reading(from + s, held ? -20 * exp(-(s - 6000) / 900.0) - 0.4 : -20.4);
        log_.v[log_.count - 1] =
            (held ? 14.4 : 13.2 + 1.2 * pow(s / 6000.0, 8)) + 0.002 * random_normal(log_.random);
    }
    stretch(100, 1, 0);
    expect(3, 4, 2);
    CHECK(found.phases[1].mode == MODE_CONSTANT_CURRENT);
    CHECK(found.phases[2].mode == MODE_CONSTANT_VOLTAGE);
    CHECK_NEAR(found.phases[2].start_s - from, 6000, 60);
}

TEST(a_soft_start_is_one_step)
{
    for (int fast = 0; fast < 2; fast++) {
        double period = fast ? 0.01 : 1;
        begin(0.05, 0, 6);
        stretch(60, period, 21);
        for (double s = period; s < 3; s += period)
            reading(last_s() + period, 21 + 29 * s / 3);
        stretch(60, period, 50);
        stretch(60, period, 21);
        expect(1, 3, 2);
        CHECK_NEAR(found.steps[0].at_s, 61.5, 1.1);
        CHECK_NEAR(found.steps[0].from_a, 21, 0.2);
        CHECK_NEAR(found.steps[0].to_a, 50, 0.2);
        CHECK_NEAR(found.steps[1].at_s, log_.t_s[found.steps[1].after], period);
    }
}

TEST(an_inrush_belongs_to_the_load)
{
    begin(0.05, 0, 7);
    stretch(60, 1, 0);
    reading(last_s() + 1, 83);
    reading(last_s() + 1, 61);
    stretch(600, 1, 48);
    expect(2, 2, 1);
    CHECK(found.steps[0].after == 60);
    CHECK_NEAR(found.steps[0].to_a, 48, 0.2);
}

TEST(idling_is_a_load_and_standby_is_none)
{
    begin(0.01, 0.01, 8);
    stretch(120, 1, 0.02);
    stretch(300, 1, 1.5); /* an inverter without a load */
    stretch(4000, 1, 52);
    stretch(120, 1, 0.02);
    expect(3, 4, 3);
    CHECK(found.phases[1].kind == RUN_DISCHARGE && found.phases[1].mode == MODE_CONSTANT_CURRENT);
    begin(0.01, 0.01, 9);
    stretch(3600, 10, 0.3); /* what the pack's own electronics take */
    stretch(3000, 10, 100);
    stretch(3600, 10, 0.3);
    expect(3, 3, 2);
    CHECK(found.runs[0].kind == RUN_REST && found.runs[2].kind == RUN_REST);
}

TEST(noise_sets_the_threshold)
{
    begin(0.5, 0, 10);
    stretch(600, 1, 0);
    stretch(3000, 1, 10);
    stretch(300, 1, 21);
    stretch(3000, 1, 10);
    stretch(600, 1, 0);
    expect(3, 5, 4);
    begin(0.5, 0, 10);
    stretch(3000, 1, 10);
    stretch(300, 1, 11); /* hidden in the noise of a reading */
    stretch(3000, 1, 10);
    expect(1, 1, 0);
    begin(0.05, 0, 11);
    stretch(3000, 1, 10);
    stretch(300, 1, 11); /* the same, and now it is not */
    stretch(3000, 1, 10);
    expect(1, 3, 2);
}

TEST(pure_noise_is_rest)
{
    begin(0.05, 0, 12);
    stretch(20000, 1, 0);
    expect(1, 1, 0);
    CHECK(found.runs[0].kind == RUN_REST);
}

TEST(an_interruption_parts_the_discharge)
{
    begin(0.02, 0.01, 13);
    stretch(500, 1, 20);
    stretch(5, 1, 0);
    stretch(500, 1, 20);
    expect(3, 3, 2);
    CHECK(found.runs[1].kind == RUN_REST);
}

/* A logger that writes ten minutes apart at rest, a minute apart under load, and thrice at each event. */
TEST(uneven_sampling_and_repeated_instants)
{
    begin(0.004, 0, 14);
    stretch(6000, 600, 0.008);
    double s = last_s() + 433;
    for (int k = 0; k < 2; k++)
        reading(s + 0.1 * k, 3.04);
    stretch(18000, 60, 3.04);
    s = last_s() + 31.4;
    reading(s, 3.04);
    reading(s, 3.04); /* twice at one instant */
    reading(s, 0.03);
    reading(s + 0.1, 0.03);
    stretch(6000, 600, 0.01);
    expect(3, 3, 2);
    CHECK_NEAR(found.runs[1].end_s, s, 1e-9);
    CHECK_NEAR(found.steps[1].at_halfwidth_s, 0, 1e-12);
    CHECK_NEAR(found.runs[1].mean_a, 3.04, 0.01);
}

TEST(scale_sign_and_origin_do_not_matter)
{
    begin(0.02, 0, 15);
    stretch(100, 1, 0.05);
    stretch(900, 1, 12);
    stretch(60, 1, 31);
    stretch(900, 1, 12);
    stretch(400, 1, -7);
    stretch(100, 1, 0.05);
    expect(4, 6, 5);
    size_t firsts[6];
    for (size_t k = 0; k < 6; k++)
        firsts[k] = found.phases[k].first;
    for (size_t k = 0; k < log_.count; k++) {
        log_.a[k] *= -0.01;
        log_.t_s[k] += 1.5e9;
    }
    expect(4, 6, 5);
    for (size_t k = 0; k < 6; k++)
        CHECK(found.phases[k].first == firsts[k]);
    CHECK(found.runs[1].kind == RUN_CHARGE && found.runs[2].kind == RUN_DISCHARGE);
}

TEST(the_shortest_logs)
{
    begin(0, 0, 16);
    reading(0, 5);
    expect(1, 1, 0);
    reading(1, 5);
    expect(1, 1, 0);
    reading(1, 0);
    expect(2, 2, 1);
    begin(0, 0, 16);
    stretch(3, 1, 0);
    expect(1, 1, 0);
    CHECK(found.runs[0].kind == RUN_REST);
    begin(0, 0, 16);
    reading(0, 0); /* one reading at rest, then a load to the end of the log */
    stretch(1000, 1, 3);
    expect(2, 2, 1);
}

TEST(a_load_that_never_settles_is_one_that_varies)
{
    begin(0.02, 0, 17);
    for (int k = 0; k < 30000; k++)
        stretch(5, 1, k % 2 ? 20 : 6);
    cut();
    CHECK(found.run_count == 1 && found.phase_count == 1 && notices.count == 1);
    for (int k = 0; k < 30000; k++)
        stretch(5, 1, k % 2 ? 20 : 0);
    cut();
    CHECK(found.run_count < RUNS_MOST && notices.count > 0);
}
