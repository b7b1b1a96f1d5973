#include "typed.h"

#include "battery/resting.h"
#include "numeric/random.h"
#include "quantity/series.h"

static struct series series;
static struct findings found;
static struct notices notices;

/* Half an hour of charge, then so long a rest: 13.342 V once settled, with constants of 44 and 910 s. */
static const struct resting *rest_for(double seconds, double dark_v, uint32_t seed)
{
    struct random *random = random_new(seed);
    findings_free(&found);
    series_free(&series);
    notices_free(&notices);
    CHECK(series_init(&series, 20000, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT));
    series.oriented = true;
    series.resolution[CHANNEL_VOLTAGE] = 0.001;
    series.resolution[CHANNEL_CURRENT] = 0.01;
    for (double t = 1.3; t < 1800 + seconds; t += 2) {
        double into = t - 1800, v = into < 0 ? 13.9 : 13.342 + 0.31 * exp(-into / 44) + 0.13 * exp(-into / 910);
        v = into >= 0 && dark_v > 0 ? dark_v : v;
        size_t k = series.count++;
        series.t_s[k] = t;
        series.column[CHANNEL_VOLTAGE][k] = round((v + 0.0008 * random_normal(random)) * 1000) / 1000;
        series.column[CHANNEL_CURRENT][k] = into < 0 ? round((-20.4 + 0.02 * random_normal(random)) * 100) / 100 : 0;
    }
    random_free(random);
    struct rig rig = rig_default();
    rig.of[CHANNEL_VOLTAGE] = (struct accuracy){.gain = 0.0005, .digits = 2, .stated = true};
    struct asked asked = asked_nothing();
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    struct message message;
    CHECK(examine_series(&series, &rig, &asked, &found, &notices, &message) == STATUS_OK);
    return found.restings;
}

TEST(a_long_rest_settles_with_the_voltmeter_s_own_error_in_it)
{
    const struct resting *r = rest_for(7200, 0, 20261);
    CHECK(found.resting_count == 1 && r->after_charge && !r->after_discharge);
    const struct measure *v = &r->settling.settled_v;
    CHECK(measure_known(v) && v->lo <= 13.342 && 13.342 <= v->hi);
    CHECK(v->hi - v->lo > 2 * 0.0005 * 13.342 && v->hi - v->lo < 0.05);
    CHECK_REL(r->settling.tau_s[r->settling.terms - 1], 910, 0.05);
    CHECK(strstr(r->words, "a cell") != NULL && strstr(r->words, "not how full") != NULL);
}

TEST(a_short_rest_says_how_long_to_wait)
{
    const struct resting *r = rest_for(1500, 0, 3);
    CHECK(found.resting_count == 1 && !measure_known(&r->settling.settled_v));
    CHECK(r->settling.wait_s > 600 && r->settling.wait_s < 2400);
    CHECK(strstr(r->words, "min more") != NULL && strstr(r->words, "not how full") != NULL);
}

TEST(pauses_and_dark_terminals_are_no_rests)
{
    rest_for(40, 0, 4);
    CHECK(found.resting_count == 0);
    rest_for(1500, 0.4, 5);
    CHECK(found.resting_count == 0);
    rest_for(1500, 14.61, 6); /* the board opened, the charger stays on */
    CHECK(found.resting_count == 0);
}

TEST(a_rest_read_by_eye)
{
    struct typed typed = typed_start();
    typed.asked.lithium_iron_phosphate = true;
    typed_examine(&typed, "direction: discharge\n"
                          "0:00:00 13.02 V 20.1 A load on\n"
                          "1:00:00 12.81 V 20.0 A\n"
                          "1:00:05 load off\n"
                          "1:01:00 13.05 V 0.0 A\n"
                          "1:30:00 13.17 V 0.0 A\n");
    CHECK(typed.findings.resting_count == 1);
    const struct resting *r = typed.findings.restings;
    CHECK(r->after_discharge && !measure_known(&r->settling.settled_v));
    CHECK_NEAR(r->settling.last_v, 13.17, 1e-9);
    CHECK(strstr(r->words, "13.17 V") != NULL);
    typed_end(&typed);
}

/* At 2.8 V a cell it is off the plateau: that nobody can tell how full it is would be too much said. */
TEST(an_empty_pack_is_not_told_of_its_plateau)
{
    enum { N = 60 };
    double t_s[N], v[N];
    for (int k = 0; k < N; k++)
        t_s[k] = 5 * k, v[k] = 11.21 + 0.001 * (k % 2);
    struct rig rig = rig_default();
    struct asked asked = asked_nothing();
    struct resting r = {0};
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    resting_of(t_s, v, N, &rig, 0.001, &asked, &r);
    CHECK(measure_known(&r.settling.settled_v) && strstr(r.words, "not how full") == NULL);
    asked.cells = 3;
    resting_of(t_s, v, N, &rig, 0.001, &asked, &r);
    CHECK(strstr(r.words, "not how full") != NULL);
}
