/* The rest of the case of sample 014: its charge, its rest, what its board does when the sensor is cold and when it is
 * hot; and, smaller, of sample 015. The pack is the finer model of the same size: diffusion, hysteresis, a board that
 * minds its sensor. */
#include "make_demo.h"

#include "rehearsal/invented.h"

#include <assert.h>

/* Words of the person at the bench. */
struct case_mark {
    struct demo_instant at;
    const char *words;
};

/* How a log is written. */
struct case_log {
    const char *name, *what;
    int day, second; /* of February 2026, when it begins */
    double period_s;
    bool at_sensor;  /* its probe lies on the board's sensor, not on the case */
    uint32_t seed;
    const struct case_mark *marks;
    size_t mark_count;
};

static const double probe_s = 9; /* as hut-pack.rig states it: 10 s to a tenth */

static void write_clock(const struct case_log *log, double t_s, struct text *rows)
{
    int s = log->second + (int)t_s;
    text_addf(rows, "2026-02-%02d %02d:%02d:%02d", log->day + s / 86400, s / 3600 % 24, s / 60 % 60, s % 60);
}

static void write_rows(const struct case_log *log, const struct demo_test *test, struct text *rows)
{
    const struct shown *shown = &test->shown;
    size_t next = 0;
    for (size_t i = 0; i < shown->count; i++) {
        write_clock(log, shown->t_s[i], rows);
        text_addf(rows, ",%.3f,%.2f,%.1f,", shown->v[i], shown->a[i] + 0.0, shown->degc[i]);
        if (next < log->mark_count && shown->true_s[i] >= demo_instant_s(&test->truth, log->marks[next].at)) {
            assert(strchr(log->marks[next].words, ',') == NULL);
            text_add(rows, log->marks[next++].words);
        }
        text_add(rows, "\n");
    }
    assert(next == log->mark_count);
}

/* `pack` goes on from where it stands. */
static enum status make_log(const struct case_log *log, struct pack *pack, const struct program *program,
                            const char *folder, struct text *truths, struct message *message)
{
    struct demo_test test = {.program = *program};
    rehearse(pack, program, &test.truth);
    struct instrument_make make = demo_logger;
    make.period_s = log->period_s;
    make.at_sensor = log->at_sensor;
    make.probe_s = probe_s;
    struct random *random;
    struct instrument one = demo_logger_of(&make, &random);
    random_free(random);
    random = random_new(log->seed);
    instrument_read(&one, &test.truth, random, &test.shown);
    random_free(random);
    struct text rows = TEXT_EMPTY;
    text_addf(&rows,
              "# INVENTED DATA. Made by tools/make_demo_case.c; no such sample was ever tested.\n"
              "# Workshop of the Stonebell Huts Association (invented): sample 014, %s.\n"
              "# Current is positive when it leaves the sample.\n"
              "Time,Voltage(V),Current(A),Temp(degC),Note\n",
              log->what);
    write_rows(log, &test, &rows);
    demo_tell_truth(log->name, &test.truth, truths);
    demo_free(&test);
    return demo_save(folder, log->name, &rows, message);
}

/* As it came from stock, to full by a charger that is smaller than what the manual allows; then the night. */
static enum status make_charge(const struct pack_make *make, const char *folder, struct text *truths, struct message *message)
{
    static const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 180},
        {.kind = SEGMENT_CHARGE, .amount = 40, .charge_v = 14.4, .tail_a = 4, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 15.5 * 3600},
    };
    static const struct case_mark marks[] = {{{1, 0}, "charger on: 40 A to 14.4 V"},
                                             {{2, 0}, "charger is done; unplugged and left alone over night"}};
    static const struct case_log log = {"hut-pack.charge.csv", "charge from stock to full and the night after", 2,
                                        13 * 3600 + 300, 20, false, 1401, marks, 2};
    struct pack pack;
    pack_init(&pack, make, 0.28);
    pack.hysteresis = 0;
    const struct program program = {segments, 3, 1, 1e5};
    return make_log(&log, &pack, &program, folder, truths, message);
}

/* The charger stays on while the sensor is made colder or warmer. Zero duration: until the board has refused for a while. */
#define TREATED(from_degc_, k_per_min_, duration_s_)                                                                     \
    {                                                                                                                    \
        .kind = SEGMENT_CHARGE, .amount = 20, .charge_v = 14.4, .duration_s = (duration_s_) > 0 ? (duration_s_) : INFINITY, \
        .refused_s = 40, .touches = true, .touch_degc = (from_degc_), .touch_k_per_s = (k_per_min_) / 60.0               \
    }

/* Slow ramps in both directions, twice, with a probe beside the sensor. */
static enum status make_cold(struct pack *pack, const char *folder, struct text *truths, struct message *message)
{
    static const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 60},
        {.kind = SEGMENT_CHARGE, .amount = 20, .charge_v = 14.4, .duration_s = 240},
        TREATED(20, -5, 132),
        TREATED(9, -0.8, 0),
        TREATED(-2, 0.8, 780),
        TREATED(8.4, -0.8, 0),
        TREATED(-2, 0.8, 780),
        {.kind = SEGMENT_REST, .duration_s = 60},
    };
    static const struct case_mark marks[] = {
        {{1, 0}, "charger on: 20 A"},
        {{2, 0}, "sensor chilled"},
        {{3, 0}, "chilled slowly: 0.8 K a minute"},
        {{4, 0}, "left to warm up as slowly"},
        {{5, 0}, "sensor chilled again"},
        {{6, 0}, "left to warm up again"},
        {{7, 0}, "charger off"},
    };
    static const struct case_log log = {"hut-pack.cold.csv", "charge with a chilled sensor", 4, 9 * 3600 + 720, 2, true, 1403,
                                        marks, 7};
    const struct program program = {segments, 8, 0.5, 1e5};
    return make_log(&log, pack, &program, folder, truths, message);
}

static enum status make_hot(struct pack *pack, const char *folder, struct text *truths, struct message *message)
{
    static const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 60},
        {.kind = SEGMENT_CHARGE, .amount = 20, .charge_v = 14.4, .duration_s = 180},
        TREATED(20, 8, 218),
        TREATED(49, 0.8, 0),
        TREATED(59, -0.8, 720),
        TREATED(49.4, 0.8, 0),
        TREATED(59, -0.8, 900),
        {.kind = SEGMENT_REST, .duration_s = 60},
    };
    static const struct case_mark marks[] = {
        {{1, 0}, "charger on: 20 A"},
        {{2, 0}, "sensor heated"},
        {{3, 0}, "heated slowly: 0.8 K a minute"},
        {{4, 0}, "left to cool as slowly"},
        {{5, 0}, "sensor heated again"},
        {{6, 0}, "left to cool again"},
        {{7, 0}, "charger off"},
    };
    static const struct case_log log = {"hut-pack.hot.csv", "charge with a heated sensor", 4, 11 * 3600, 2, true, 1404, marks, 7};
    const struct program program = {segments, 8, 0.5, 1e5};
    return make_log(&log, pack, &program, folder, truths, message);
}

/* After the great discharge: the dark pack is woken, filled a little and emptied again, to see how the board opens, what
 * the terminals do then, and what wakes it. */
static enum status make_low(struct pack *pack, const char *folder, struct text *truths, struct message *message)
{
    static const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 45},
        {.kind = SEGMENT_CHARGE, .amount = 20, .charge_v = 14.4, .duration_s = 600},
        {.kind = SEGMENT_REST, .duration_s = 120},
        {.kind = SEGMENT_CURRENT, .amount = 30, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 330},
        {.kind = SEGMENT_CHARGE, .amount = 20, .charge_v = 14.4, .duration_s = 300},
        {.kind = SEGMENT_REST, .duration_s = 60},
    };
    static const struct case_mark marks[] = {
        {{1, 0}, "charger on: the dark pack wakes"}, {{2, 0}, "charger off"}, {{3, 0}, "load on: 30 A"},
        {{4, 0}, "load off; left in the dark"},      {{5, 0}, "charger on"},  {{6, 0}, "charger off"},
    };
    static const struct case_log log = {"hut-pack.low.csv", "emptied once more and woken", 3, 14 * 3600 + 2400, 2, false, 1405,
                                        marks, 6};
    const struct program program = {segments, 7, 0.5, 1e5};
    return make_log(&log, pack, &program, folder, truths, message);
}

static enum status make_protections(const struct pack_make *make, const char *folder, struct text *truths,
                                    struct message *message)
{
    struct pack pack;
    pack_init(&pack, make, 0.004);
    pack.hysteresis = -1;
    pack.bms.state = BMS_DARK_UNDER_VOLTAGE;
    enum status status = make_low(&pack, folder, truths, message);
    if (status == STATUS_OK)
        status = make_cold(&pack, folder, truths, message);
    return status != STATUS_OK ? status : make_hot(&pack, folder, truths, message);
}

static const char bivouac_head[] = "# INVENTED DATA. Made by tools/make_demo_case.c; no such sample was ever tested.\n"
                                   "title: Sample 015, %s\n"
                                   "invented: yes\n"
                                   "direction: charge\n"
                                   "times: elapsed\n"
                                   "how: seen\n\n";

/* One of its cells is fuller than the others: the board stops the charge before the charger would. */
static enum status make_bivouac_charge(struct pack *pack, const char *folder, struct text *truths, struct message *message)
{
    static const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 60},
        {.kind = SEGMENT_CHARGE, .amount = 10, .charge_v = 14.6, .tail_a = 1, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 600},
    };
    static const struct demo_look looks[] = {
        {{0, 0}, "VAC", ""},
        {{1, 20}, "VA", "charger on"},
        {{1, 1800}, "VAQ", ""},
        {{1, 5400}, "VAQC", ""},
        {{1, 9000}, "VAQ", ""},
        {{1, -600}, "VAQ", ""},
        {{1, -120}, "VAQ", ""},
        {{1, -8}, "VAQC", ""},
        {{2, 4}, "VA", "no current any more"},
        {{2, 300}, "VA", ""},
    };
    struct demo_test test = {.program = {segments, 3, 1, 1e5}, .charges = true};
    rehearse(pack, &test.program, &test.truth);
    struct text readings = TEXT_EMPTY;
    text_addf(&readings, bivouac_head, "charge, typed while watching a panel meter");
    demo_write_looks(&test, looks, sizeof looks / sizeof *looks, 0, 1501, &readings);
    demo_tell_truth("bivouac-pack.charge.readings", &test.truth, truths);
    demo_free(&test);
    return demo_save(folder, "bivouac-pack.charge.readings", &readings, message);
}

/* Cold spray on the sensor, no thermometer: that there is a protection, and no more. */
static enum status make_bivouac_cold(struct pack *pack, const char *folder, struct text *truths, struct message *message)
{
    static const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 60},
        {.kind = SEGMENT_CHARGE, .amount = 10, .charge_v = 14.6, .duration_s = 300},
        {.kind = SEGMENT_CHARGE, .amount = 10, .charge_v = 14.6, .duration_s = INFINITY, .refused_s = 45, .touches = true,
         .touch_degc = -30},
        {.kind = SEGMENT_CHARGE, .amount = 10, .charge_v = 14.6, .duration_s = 300},
    };
    static const struct demo_look looks[] = {
        {{0, 0}, "VA", ""},
        {{1, 5}, "VA", "charger on"},
        {{1, 240}, "VA", ""},
        {{2, 0}, "VA", "cold spray on the sensor"},
        {{2, -48}, "VA", ""},
        {{2, -43}, "VA", "no current any more"},
        {{2, -2}, "VA", "spray off"},
        {{3, -100}, "VA", "it charges again"},
    };
    struct demo_test test = {.program = {segments, 4, 0.5, 1e5}, .charges = true};
    rehearse(pack, &test.program, &test.truth);
    struct text readings = TEXT_EMPTY;
    text_addf(&readings, bivouac_head, "cold spray on its sensor while it charges");
    demo_write_looks(&test, looks, sizeof looks / sizeof *looks, 0, 1502, &readings);
    demo_tell_truth("bivouac-pack.cold.readings", &test.truth, truths);
    demo_free(&test);
    return demo_save(folder, "bivouac-pack.cold.readings", &readings, message);
}

enum status demo_case(const struct cell_ocv *plain, const char *folder, struct text *truths, struct message *message)
{
    /* So that the charger of the hut pack ends with it as full as it is when its discharge begins. */
    struct cell_ocv hut_ocv = *plain, bivouac_ocv = *plain;
    cell_ocv_thicken_full(&hut_ocv, 26, 0.02);
    cell_ocv_thicken_full(&bivouac_ocv, 30, 0.02);
    struct pack_make hut = invented_fine_pack(&hut_ocv, 4, 105), bivouac = invented_fine_pack(&bivouac_ocv, 4, 42.7);
    hut.bms.cold_degc = 1.5;
    hut.bms.cold_release_degc = 6;
    hut.bms.hot_degc = 53;
    hut.bms.hot_release_degc = 47;
    bivouac.ambient_degc = 22;
    bivouac.fuller[2] = 0.03;
    text_addf(truths, ",\n  \"board of sample 014\": {\"cold_degc\": %g, \"cold_release_degc\": %g, \"hot_degc\": %g, \"hot_release_degc\": %g}",
              hut.bms.cold_degc, hut.bms.cold_release_degc, hut.bms.hot_degc, hut.bms.hot_release_degc);
    enum status status = make_charge(&hut, folder, truths, message);
    if (status == STATUS_OK)
        status = make_protections(&hut, folder, truths, message);
    struct pack pack;
    pack_init(&pack, &bivouac, 0.1);
    if (status == STATUS_OK)
        status = make_bivouac_charge(&pack, folder, truths, message);
    pack_init(&pack, &bivouac, 0.4);
    return status != STATUS_OK ? status : make_bivouac_cold(&pack, folder, truths, message);
}
