/* A whole examination of logs made here: charge to full, rest, discharge, rest, charge to full again. */
#include "handmade.h"

#include "battery/difference.h"
#include "battery/efficiency.h"
#include "battery/examine.h"
#include "numeric/random.h"

struct maker {
    struct handmade made;
    struct random *random;
    double t, v, a;
    double noise_v;
};

static void hold(struct maker *maker, double seconds, double period, double v_from, double v_to,
                 double a_from, double a_to)
{
    for (double t = 0; t < seconds; t += period) {
        double x = t / seconds;
        handmade_reading(
            &maker->made, maker->t,
            round((v_from + (v_to - v_from) * x + maker->noise_v * random_normal(maker->random)) / 0.001) *
                0.001,
            round((a_from + (a_to - a_from) * x + 0.01 * random_normal(maker->random)) / 0.01) * 0.01);
        maker->t += period;
    }
}

/* `scale` of all currents. */
static void make_cycle(struct maker *maker, double scale)
{
    *maker = (struct maker){.random = random_new(611), .noise_v = 0.001};
    handmade_start(&maker->made, 40000);
    for (int charge = 0; charge < 2; charge++) {
        hold(maker, 3600, 5, 13.3, 14.4, -20 * scale, -20 * scale);
        for (int k = 0; k < 40; k++)
            hold(maker, 50, 5, 14.4, 14.4, -20 * scale * pow(0.9, k), -20 * scale * pow(0.9, k + 1));
        hold(maker, 5400, 10, 13.6, 13.4, 0, 0);
        if (charge == 0) {
            hold(maker, 4000, 5, 13.2, 12.6, 20 * scale, 20 * scale);
            hold(maker, 400, 5, 12.6, 10.4, 20 * scale, 20 * scale);
            hold(maker, 3000, 10, 12.2, 12.6, 0, 0);
        }
    }
    maker->made.series.resolution[CHANNEL_VOLTAGE] = 0.001;
    maker->made.series.resolution[CHANNEL_CURRENT] = 0.01;
    random_free(maker->random);
}

static struct asked asked_of_four_cells(void)
{
    struct asked asked = asked_nothing();
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    asked.rated_ah = 23;
    asked.cut_offs = 1;
    asked.cut_off_v[0] = 11;
    return asked;
}

TEST(a_closed_cycle_end_to_end)
{
    struct maker maker;
    make_cycle(&maker, 1);
    struct rig rig = rig_default();
    struct asked asked = asked_of_four_cells();
    struct findings findings;
    struct notices notices = {0};
    struct message message;
    CHECK(examine_series(&maker.made.series, &rig, &asked, &findings, &notices, &message) == STATUS_OK);
    CHECK(findings.has_test && findings.runs[findings.test_first_run].kind == RUN_DISCHARGE);
    CHECK_NEAR(findings.test_ah.value, 20 * 4400 / 3600.0, 0.03);
    CHECK(findings.test_ah.lo < 24.44 && 24.44 < findings.test_ah.hi);
    CHECK_REL(findings.discharge_ah.value, findings.test_ah.value, 1e-12);
    CHECK_NEAR(findings.rated_ah.at_s.value, 23 * 3600 / 20.0, 6);
    CHECK(findings.full_before > 0);
    CHECK(findings.capacity_count >= 2 && findings.capacities[0].cut_off_v > 11);
    CHECK(findings.load.law == LOAD_CURRENT);
    CHECK(measure_known(&findings.efficiency_charge) && measure_known(&findings.efficiency_energy));
    double in = findings.charge_ah.value / 2; /* two equal charges */
    CHECK_REL(findings.efficiency_charge.value, findings.test_ah.value / in, 2e-3);
    CHECK(findings.efficiency_charge.u <
          0.2 * findings.test_ah.u / findings.test_ah.value); /* the gain cancels */
    CHECK(!measure_known(&findings.wake_ah));
    CHECK(findings.condition_count == 5 && findings.conditions[0].departs);
    /* 20 A of 23 Ah is 0.87 I_t; (0.2 / 0.87)^0.05 - 1 */
    CHECK_NEAR(findings.conditions[0].effect_lo, pow(0.2 * 23 / 20, 0.05) - 1, 2e-4);
    CHECK_NEAR(findings.conditions[0].effect_hi, 0, 0);
    CHECK(!findings.conditions[1].known);                                   /* temperature */
    CHECK(findings.conditions[2].known && !findings.conditions[2].departs); /* 1.5 h of rest */
    CHECK(findings.conditions[3].known && !findings.conditions[3].departs); /* came down to 11 V */
    CHECK(findings.conditions[4].known && !findings.conditions[4].departs);
    findings_free(&findings);
    notices_free(&notices);
    series_free(&maker.made.series);
}

TEST(two_samples_over_one_rig_differ_by_less_than_either_is_known)
{
    struct maker makers[2];
    struct findings findings[2];
    struct rig rig = rig_default();
    struct asked asked = asked_of_four_cells();
    struct notices notices = {0};
    struct message message;
    for (int k = 0; k < 2; k++) {
        make_cycle(&makers[k], k == 0 ? 1 : 0.99);
        CHECK(examine_series(&makers[k].made.series, &rig, &asked, &findings[k], &notices, &message) ==
              STATUS_OK);
    }
    struct difference difference = difference_of(&findings[0].test_ah, &findings[1].test_ah, "Ah");
    CHECK_REL(difference.value.value, 0.01 * 20 * 4400 / 3600.0, 0.1);
    CHECK(difference.value.lo > 0 && difference.cancelled > 0.9 &&
          strstr(difference.words, "first is higher") != NULL);
    struct rig other = rig_default();
    other.identity = 99;
    findings_free(&findings[1]);
    CHECK(examine_series(&makers[1].made.series, &other, &asked, &findings[1], &notices, &message) ==
          STATUS_OK);
    difference = difference_of(&findings[0].test_ah, &findings[1].test_ah, "Ah");
    CHECK(difference.value.lo < 0 && strstr(difference.words, "no difference") != NULL);
    struct measure none = measure_unknown("the meter was off");
    difference = difference_of(&findings[0].test_ah, &none, "Ah");
    CHECK(!measure_known(&difference.value) && strstr(difference.words, "meter was off") != NULL);
    for (int k = 0; k < 2; k++) {
        findings_free(&findings[k]);
        series_free(&makers[k].made.series);
    }
    notices_free(&notices);
}

/* A log cut in two at rest, and the two added, gives the same charge. */
TEST(a_log_in_two_parts_adds_up)
{
    struct maker maker;
    make_cycle(&maker, 1);
    struct series *series = &maker.made.series;
    size_t whole = series->count, cut = 0;
    while (series->t_s[cut] < 7000) /* in the rest before the discharge */
        cut++;
    struct rig rig = rig_default();
    struct asked asked = asked_nothing();
    struct findings findings[3];
    struct notices notices = {0};
    struct message message;
    CHECK(examine_series(series, &rig, &asked, &findings[0], &notices, &message) == STATUS_OK);
    series->count = cut;
    CHECK(examine_series(series, &rig, &asked, &findings[1], &notices, &message) == STATUS_OK);
    struct series rest = *series;
    rest.t_s += cut;
    rest.column[CHANNEL_VOLTAGE] += cut;
    rest.column[CHANNEL_CURRENT] += cut;
    rest.count = whole - cut;
    CHECK(examine_series(&rest, &rig, &asked, &findings[2], &notices, &message) == STATUS_OK);
    CHECK_REL(findings[1].charge_ah.value + findings[2].charge_ah.value, findings[0].charge_ah.value, 1e-9);
    CHECK_REL(findings[1].charge_wh.value + findings[2].charge_wh.value, findings[0].charge_wh.value, 1e-9);
    CHECK_REL(findings[2].discharge_ah.value, findings[0].discharge_ah.value, 1e-12);
    CHECK(!findings[1].has_test && !measure_known(&findings[1].test_ah));
    for (int k = 0; k < 3; k++)
        findings_free(&findings[k]);
    notices_free(&notices);
    series_free(series);
}

/* Every second reading gives the same answers within what sampling leaves open. */
TEST(half_the_readings_tell_the_same)
{
    struct maker maker;
    make_cycle(&maker, 1);
    struct series *series = &maker.made.series;
    struct rig rig = {.identity = 5, .sense_leads = true, .skew_s = 0, .ripple = 0};
    struct asked asked = asked_of_four_cells();
    struct findings all, half;
    struct notices notices = {0};
    struct message message;
    CHECK(examine_series(series, &rig, &asked, &all, &notices, &message) == STATUS_OK);
    for (size_t k = 0; 2 * k < series->count; k++) {
        series->t_s[k] = series->t_s[2 * k];
        series->column[CHANNEL_VOLTAGE][k] = series->column[CHANNEL_VOLTAGE][2 * k];
        series->column[CHANNEL_CURRENT][k] = series->column[CHANNEL_CURRENT][2 * k];
    }
    series->count = (series->count + 1) / 2;
    CHECK(examine_series(series, &rig, &asked, &half, &notices, &message) == STATUS_OK);
    CHECK(all.run_count == half.run_count);
    CHECK_NEAR(half.test_ah.value, all.test_ah.value, half.test_ah.hi - half.test_ah.value);
    CHECK_NEAR(half.test_wh.value, all.test_wh.value, half.test_wh.hi - half.test_wh.value);
    CHECK(half.test_ah.u > all.test_ah.u);
    findings_free(&all);
    findings_free(&half);
    notices_free(&notices);
    series_free(series);
}

TEST(what_cannot_be_examined_is_refused_with_a_remedy)
{
    struct series series;
    struct rig rig = rig_default();
    struct asked asked = asked_nothing();
    struct findings findings;
    struct notices notices = {0};
    struct message message;
    CHECK(series_init(&series, 3, 1u << CHANNEL_VOLTAGE));
    for (int k = 0; k < 3; k++) {
        series.t_s[k] = k;
        series.column[CHANNEL_VOLTAGE][k] = 13;
    }
    series.count = 3;
    CHECK(examine_series(&series, &rig, &asked, &findings, &notices, &message) == STATUS_UNREADABLE);
    CHECK(strstr(message.remedy, "--column current") != NULL);
    series_free(&series);
    CHECK(series_init(&series, 1, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT));
    series.t_s[0] = 0, series.column[CHANNEL_VOLTAGE][0] = 13, series.column[CHANNEL_CURRENT][0] = 5,
    series.count = 1;
    CHECK(examine_series(&series, &rig, &asked, &findings, &notices, &message) == STATUS_UNREADABLE);
    series_free(&series);
    notices_free(&notices);
}

TEST(a_log_without_volts_still_gives_its_charge)
{
    struct series series;
    struct rig rig = rig_default();
    struct asked asked = asked_of_four_cells();
    struct findings findings;
    struct notices notices = {0};
    struct message message;
    CHECK(series_init(&series, 500, 1u << CHANNEL_CURRENT));
    for (int k = 0; k < 500; k++) {
        series.t_s[k] = 10.0 * k;
        series.column[CHANNEL_CURRENT][k] = k < 50 || k > 450 ? 0 : 17.3;
    }
    series.count = 500;
    CHECK(examine_series(&series, &rig, &asked, &findings, &notices, &message) == STATUS_OK);
    CHECK_REL(findings.test_ah.value, 17.3 * 401 * 10 / 3600, 1e-9);
    CHECK(!measure_known(&findings.test_wh) && strstr(findings.test_wh.why, "no voltage") != NULL);
    CHECK(findings.capacity_count == 1 && !findings.capacities[0].reached);
    CHECK(!measure_known(&findings.capacities[0].charge_ah) && !measure_known(&findings.rated_wh.at_s));
    findings_free(&findings);
    notices_free(&notices);
    series_free(&series);
}

TEST(ratio_cancels_what_is_shared)
{
    struct measure a = measure_of(95), b = measure_of(100);
    measure_part(&a, (struct part){CAUSE_GAIN_CURRENT, SHAPE_RECTANGULAR, 0.95, INFINITY, 42, "gain", ""});
    measure_part(&b, (struct part){CAUSE_GAIN_CURRENT, SHAPE_RECTANGULAR, 1.0, INFINITY, 42, "gain", ""});
    measure_part(&b, (struct part){CAUSE_NOISE, SHAPE_NORMAL, 0.3, INFINITY, 0, "noise", ""});
    struct measure ratio = efficiency_ratio(&a, &b);
    CHECK_REL(ratio.value, 0.95, 1e-12);
    CHECK_REL(ratio.u, 0.95 * 0.3 / 100, 1e-9);
}

/* Whatever a log holds, the answer is a number with an interval, or a reason; never a number that only
 * looks fine. Readings at random: holes, equal instants, dead channels, absurd values. */
static double untidy(struct random *random, double usual)
{
    double x = random_uniform(random);
    return x < 0.02    ? NAN
           : x < 0.025 ? 1e30
           : x < 0.03  ? -usual
           : x < 0.2   ? 0
                       : usual * (1 + 0.1 * random_normal(random));
}

static bool sound(const struct measure *measure)
{
    if (!measure_known(measure))
        return measure->why[0] != '\0';
    return isfinite(measure->value) && measure->u >= 0 && measure->lo <= measure->value &&
           measure->value <= measure->hi;
}

TEST(any_readings_give_an_answer_or_a_reason)
{
    struct random *random = random_new(8128);
    int examined = 0;
    for (int trial = 0; trial < 400; trial++) {
        struct series series;
        size_t count = (size_t)(random_uniform(random) * (trial % 2 ? 12 : 300));
        CHECK(series_init(&series, count + 1, (1u << CHANNELS) - 1));
        double t = 0;
        for (size_t k = 0; k < count; k++) {
            t += random_uniform(random) < 0.2    ? 0
                 : random_uniform(random) < 0.02 ? 1e6
                                                 : random_uniform(random) * 7;
            series.t_s[k] = t;
            for (int c = 0; c < CHANNELS; c++)
                series.column[c][k] = untidy(random, c == CHANNEL_VOLTAGE   ? 13
                                                     : c == CHANNEL_CURRENT ? 20
                                                                            : 100);
            if (trial % 3 == 0) /* a steadier current */
                series.column[CHANNEL_CURRENT][k] = (k / 40) % 3 == 0 ? 0 : (k / 40) % 3 == 1 ? 25 : -11;
        }
        series.count = count;
        if (trial % 5 == 0 && count > 4)
            series_gap(&series, (struct gap){count / 2, 1, 0, trial % 2 ? INFINITY : 50, "made here"});
        struct rig rig = rig_default();
        struct asked asked = asked_of_four_cells();
        asked.rated_wh = 40;
        struct findings findings = {0};
        struct notices notices = {0};
        struct message message = {0};
        enum status status = examine_series(&series, &rig, &asked, &findings, &notices, &message);
        if (status != STATUS_OK) {
            CHECK(message.what[0] != '\0' && message.remedy[0] != '\0');
        } else {
            examined++;
            const struct measure *all[] = {
                &findings.test_ah,           &findings.test_wh,       &findings.test_mean_v,
                &findings.test_duration_s,   &findings.discharge_ah,  &findings.charge_wh,
                &findings.rated_ah.at_s,     &findings.rated_wh.at_s, &findings.efficiency_charge,
                &findings.efficiency_energy, &findings.load.exponent, &findings.tally_ah.tally,
                &findings.tally_wh.integral, &findings.wake_ah};
            for (size_t k = 0; k < sizeof all / sizeof all[0]; k++) {
                if (!sound(all[k]))
                    printf("    trial %d, measure %zu: %g u %g [%g, %g] %s\n", trial, k, all[k]->value,
                           all[k]->u, all[k]->lo, all[k]->hi, all[k]->why);
                CHECK(sound(all[k]));
            }
            for (size_t k = 0; k < findings.run_count; k++)
                CHECK(sound(&findings.runs[k].charge_ah) && sound(&findings.runs[k].energy_wh) &&
                      sound(&findings.runs[k].mean_v));
            for (size_t k = 0; k < findings.capacity_count; k++)
                CHECK(sound(&findings.capacities[k].charge_ah) && sound(&findings.capacities[k].energy_wh));
        }
        findings_free(&findings);
        notices_free(&notices);
        series_free(&series);
    }
    random_free(random);
    CHECK(examined > 300);
}
