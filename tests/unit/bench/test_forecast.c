#include "check.h"

#include "forecast_runs.h"

#include <time.h>

static struct cell_ocv ocv;
static struct forecast_run run;
static struct track track;
static struct forecast_work *work;

static struct forecast at_part(double part, const struct forecast_asked *asked)
{
    struct forecast f;
    track_init(&track, &run.rig, 1, NAN);
    forecast_feed(&run, 0, run.from_s + part * (run.truth.end_s - run.from_s), &track);
    forecast_make(&track, asked, work, &f);
    return f;
}

static void draw(uint32_t seed)
{
    invented_ocv(&ocv);
    struct random *random = random_new(seed);
    while (!forecast_draw(&ocv, random, &run))
        ;
    random_free(random);
    work = forecast_work_new();
}

static void done(void)
{
    truth_free(&run.truth);
    shown_free(&run.shown);
    forecast_work_free(work);
    run = (struct forecast_run){.rated_ah = NAN};
}

static bool holds(const struct measure *m, double truth)
{
    return m->lo <= truth && truth <= m->hi;
}

static double width(const struct measure *m)
{
    return m->hi - m->lo;
}

/* tests/coverage/cover_forecast.c counts with many more. */
TEST(holds_and_narrows)
{
    int held = 0, asked = 0;
    for (uint32_t seed = 1; seed <= 20; seed++) {
        draw(seed);
        double before = INFINITY;
        for (double part = 0.11; part < 1; part += 0.22) {
            struct forecast f = at_part(part, &run.asked);
            held += holds(&f.cut_off_at_s, run.truth.end_s);
            asked++;
            if (part > 0.9)
                CHECK(width(&f.cut_off_at_s) < 0.8 * before); /* the knee has come */
            before = width(&f.cut_off_at_s);
        }
        done();
    }
    CHECK(held >= asked - asked / 10 && asked == 100);
}

TEST(what_is_missing_is_said)
{
    draw(77);
    struct forecast_asked asked = run.asked;
    struct forecast f;
    track_init(&track, &run.rig, 1, NAN);
    forecast_make(&track, &asked, work, &f);
    CHECK(!measure_known(&f.cut_off_at_s));
    CHECK_TEXT(f.cut_off_at_s.why, "no load is on yet");
    CHECK_TEXT(f.given, "");
    asked.rated_ah = asked.rated_wh = asked.burst_at_ah = NAN;
    f = at_part(0.5, &asked);
    CHECK(strstr(f.cut_off_at_s.why, "no rated capacity") != NULL);
    CHECK(strstr(f.rated_at_s.why, "no rated capacity") != NULL);
    CHECK(strstr(f.half_way_s.why, "neither a plan nor") != NULL);
    CHECK(isnan(f.share_ah) && isnan(f.reaches_rated));
    CHECK(measure_known(&f.ah_now) && f.ah_now.lo < f.ah && f.ah < f.ah_now.hi);
    asked.goal = GOAL_NONE;
    f = at_part(0.5, &asked);
    CHECK(strstr(f.cut_off_at_s.why, "neither a discharge nor a charge") != NULL);
    asked.goal = GOAL_DISCHARGE;
    f = at_part(0.97, &asked); /* the knee needs no rating */
    CHECK(holds(&f.cut_off_at_s, run.truth.end_s));
    done();
}

/* Rated at twice what it holds: until the knee nobody can know, then the curve has the last word. */
TEST(a_pack_that_holds_half_its_rating)
{
    draw(5);
    struct forecast_asked asked = run.asked;
    asked.rated_ah *= 1.9;
    asked.burst_at_ah = NAN;
    struct forecast f = at_part(0.97, &asked);
    CHECK(f.knee);
    CHECK(holds(&f.cut_off_at_s, run.truth.end_s));
    CHECK(f.reaches_rated < 0.01);
    CHECK(strstr(f.rated_at_s.why, "stop before its rated") != NULL);
    done();
}

TEST(what_has_passed_is_known)
{
    draw(12);
    struct forecast_asked asked = run.asked;
    asked.burst_at_ah = NAN;
    asked.rated_ah = 0.8 * run.truth.end_ah;
    struct forecast f = at_part(0.95, &asked);
    struct truth_point rated = truth_at_charge(&run.truth, 0, asked.rated_ah), half = {0};
    double rated_s = NAN, half_s = NAN;
    for (size_t k = run.truth.count; k-- > 0;) {
        rated_s = run.truth.intervals[k].charge_ah >= asked.rated_ah ? run.truth.intervals[k].t_s : rated_s;
        half_s = run.truth.intervals[k].charge_ah >= asked.rated_ah / 2 ? run.truth.intervals[k].t_s : half_s;
    }
    CHECK(rated.charge_ah > half.charge_ah);
    CHECK(holds(&f.rated_at_s, rated_s) && f.rated_at_s.value < f.t_s);
    CHECK(holds(&f.half_way_s, half_s));
    CHECK_NEAR(f.reaches_rated, 1, 1e-9);
    CHECK(f.rated_at_s.count > 0 && width(&f.rated_at_s) < 0.03 * rated_s);
    done();
}

/* Twice the amps from a pack of twice the rating, and twice the volts from twice the cells, take the same time. */
TEST(scales)
{
    draw(31);
    for (int stage = 0; stage < 2; stage++) {
        double part = stage == 0 ? 0.4 : 0.96;
        struct forecast before = at_part(part, &run.asked);
        struct forecast_asked asked = run.asked;
        asked.rated_ah *= 2, asked.burst_at_ah *= 2, asked.burst_a *= 2, asked.cells *= 2, asked.cut_off_v *= 2;
        for (size_t k = 0; k < run.shown.count; k++)
            run.shown.a[k] *= 2, run.shown.v[k] *= 2;
        run.rig.of[CHANNEL_CURRENT].offset *= 2, run.rig.of[CHANNEL_CURRENT].resolution *= 2;
        run.rig.of[CHANNEL_VOLTAGE].offset *= 2, run.rig.of[CHANNEL_VOLTAGE].resolution *= 2;
        struct forecast after = at_part(part, &asked);
        CHECK_REL(after.cut_off_at_s.value, before.cut_off_at_s.value, 1e-6);
        CHECK_REL(after.cut_off_at_s.lo, before.cut_off_at_s.lo, 1e-6);
        CHECK_REL(after.cut_off_at_s.hi, before.cut_off_at_s.hi, 1e-6);
        CHECK_REL(after.half_way_s.value, before.half_way_s.value, 1e-6);
        CHECK_REL(after.ah, 2 * before.ah, 1e-9);
        for (size_t k = 0; k < run.shown.count; k++)
            run.shown.a[k] /= 2, run.shown.v[k] /= 2;
        run.rig = forecast_rig();
    }
    done();
}

TEST(the_same_again)
{
    draw(8);
    struct forecast first = at_part(0.7, &run.asked), again = at_part(0.7, &run.asked);
    struct forecast_work *fresh = forecast_work_new();
    struct forecast other;
    forecast_make(&track, &run.asked, fresh, &other);
    CHECK(memcmp(&first.cut_off_at_s.lo, &again.cut_off_at_s.lo, 2 * sizeof(double)) == 0);
    CHECK(first.cut_off_at_s.value == other.cut_off_at_s.value && first.wh_now.u == other.wh_now.u);
    forecast_work_free(fresh);
    done();
}

/* Real cells (lfp-26650-2.6ah in the open measurement data): 2.6 Ah rated, 2.20 and 2.23 Ah delivered at 1 C. */
static bool read_cell(const char *path, double *ret_end_s)
{
    struct text text = TEXT_EMPTY;
    const char *file = test_data(path);
    if (file == NULL || text_read_file(file, 1 << 22, &text) != 0)
        return false;
    static struct rig rig;
    rig = forecast_rig();
    rig.of[CHANNEL_VOLTAGE] = rig.of[CHANNEL_CURRENT] = (struct accuracy){.gain = 0.001, .stated = true};
    track_init(&track, &rig, 1, NAN);
    *ret_end_s = NAN;
    for (char *line = text.s; line != NULL && *line != '\0';) {
        char *next = strchr(line, '\n'), *end = line;
        double row[3] = {NAN, NAN, NAN};
        int k = 0;
        for (; k < 3; k++, line = end) {
            row[k] = strtod(line, &end);
            if (end == line)
                break;
        }
        if (k == 3 && track_add(&track, row[0], row[2], -row[1]) == TRACK_ENDED)
            *ret_end_s = track.ended_s;
        line = next != NULL ? next + 1 : NULL;
    }
    text_free(&text);
    if (isnan(*ret_end_s))
        *ret_end_s = track.t_s; /* the log stops with the load on */
    return true;
}

TEST(real_cells)
{
    const char *const paths[] = {"lfp-26650-2.6ah/discharge_1C_20degC.txt", "lfp-26650-2.6ah/discharge_1C_40degC.txt"};
    const struct forecast_asked asked = {.goal = GOAL_DISCHARGE, .rated_ah = 2.6, .rated_wh = NAN, .cut_off_v = 2.5,
                                         .cells = 1, .burst_at_ah = NAN, .burst_a = NAN, .burst_s = NAN};
    for (int k = 0; k < 2; k++) {
        double end_s;
        if (!read_cell(paths[k], &end_s))
            SKIP("no open measurement data");
        CHECK(end_s > 3000 && end_s < 3200);
        static struct track whole;
        whole = track;
        struct forecast_work *fresh = forecast_work_new();
        const double parts[] = {0.5, 0.8, 0.9, 0.95, 0.98};
        for (int p = 0; p < 5; p++) {
            track_init(&track, whole.rig, 1, NAN);
            for (size_t i = 0; i < whole.count && whole.points[i].t_s < parts[p] * end_s; i++)
                track_add(&track, whole.points[i].t_s, whole.points[i].v, whole.points[i].a);
            struct forecast f;
            forecast_make(&track, &asked, fresh, &f);
            printf("    %s at %.0f %%: %.0f s, from %.0f to %.0f s; it ended at %.0f s\n", paths[k], 100 * parts[p],
                   f.cut_off_at_s.value, f.cut_off_at_s.lo, f.cut_off_at_s.hi, end_s);
            CHECK(holds(&f.cut_off_at_s, end_s));
        }
        forecast_work_free(fresh);
    }
}

/* A load that comes and goes has no level of its own; its mean goes on. */
TEST(a_load_that_cycles)
{
    struct rig rig = forecast_rig();
    track_init(&track, &rig, 1, NAN);
    work = forecast_work_new();
    const struct forecast_asked asked = {.goal = GOAL_DISCHARGE, .rated_ah = 60, .rated_wh = NAN, .cut_off_v = NAN,
                                         .cells = 4, .burst_at_ah = NAN, .burst_a = NAN, .burst_s = NAN};
    for (int k = 0; k < 20000; k += 2)
        track_add(&track, k, k / 300 % 2 == 0 ? 13.1 : 13.25, k / 300 % 2 == 0 ? 10.3 : 0.1);
    struct forecast f;
    forecast_make(&track, &asked, work, &f);
    CHECK(strstr(f.given, "coming and going") != NULL);
    double mean_a = track_ah(&track) / 20000 * 3600;
    CHECK(holds(&f.rated_at_s, 60 / mean_a * 3600));
    CHECK(holds(&f.cut_off_at_s, 60 / mean_a * 3600));
    forecast_work_free(work);
}

/* A day at a reading a second: the same few milliseconds at its end as at its beginning. CPU time, since other things
 * may run beside. */
TEST(costs_less_than_a_millisecond)
{
    draw(3);
    struct rig rig = forecast_rig();
    track_init(&track, &rig, 1, NAN);
    const struct forecast_asked asked = {.goal = GOAL_DISCHARGE, .rated_ah = 100, .rated_wh = 1280, .cut_off_v = NAN,
                                         .cells = 4, .burst_at_ah = 50, .burst_a = 95, .burst_s = 240};
    double spent_s = 0;
    int made = 0;
    for (int k = 0; k < 86400; k++) {
        track_add(&track, k, 13.2 - 3e-6 * k + 0.01 * (k % 3), 4 + 0.1 * (k % 7));
        if (k % 400 != 0)
            continue;
        struct forecast f;
        clock_t before = clock();
        forecast_make(&track, &asked, work, &f);
        spent_s += (double)(clock() - before) / CLOCKS_PER_SEC;
        made++;
    }
    printf("    %.0f µs a forecast\n", 1e6 * spent_s / made);
    CHECK(spent_s / made < 1e-3);
    done();
}
