#include "check.h"

#include "rehearsal/rehearsal.h"

static struct script script;
static struct message message;

static enum status read(const char *text)
{
    return script_read_text("hut.script", span_of(text), &script, &message);
}

TEST(the_default_script_reads_and_runs)
{
    CHECK(read(script_default) == STATUS_OK);
    CHECK(script.count == 9 && script.is_burst[2]);
    CHECK(script.segments[6].kind == SEGMENT_CHARGE && script.segments[6].touches);
    CHECK_NEAR(script.segments[6].touch_degc, -12, 1e-9);
    CHECK(!script.segments[7].touches);
    CHECK(strstr(text_string(&script.claims), "capacity = 100 Ah at 0.2 It, 25 °C, to 10 V | case\n") !=
          NULL);
    struct rehearsal *one = rehearsal_new(&script);
    CHECK(one->truth.end == END_UNDER_VOLTAGE);
    CHECK(one->truth.end_ah > 98 && one->truth.end_ah < 103.2);
    CHECK(one->costs[2].energy_wh > 1);
    CHECK(one->truth.events_count == 4); /* dark, woken, too cold, mild again */
    CHECK(one->shown[METER_BENCH].count > 15000);
    rehearsal_free(one);
    script_free(&script);
}

TEST(every_line_of_a_program_is_taken_as_it_says)
{
    CHECK(read("[program]\nrest = 90 s\n"
               "discharge = 12,5 A, until 11.5 V\n"
               "discharge = 0.4 ohm, for 10 min\n"
               "burst = 1.1 kW, idle 15 W, ripple 30 %, for 4 min\n"
               "sensor = 50 degF\ncharge = 20 A, to 14.4 V, tail 3 A, until full\n"
               "sensor = left alone\ncharge = 10 A, to 14.2 V, for 1 h\n") == STATUS_OK);
    const struct load_segment *s = script.segments;
    CHECK(script.count == 6);
    CHECK_NEAR(s[0].duration_s, 90, 0);
    CHECK(s[1].kind == SEGMENT_CURRENT && isinf(s[1].duration_s));
    CHECK_NEAR(s[1].amount, 12.5, 0);
    CHECK_NEAR(s[1].give_up_v, 11.5, 0);
    CHECK(s[2].kind == SEGMENT_RESISTANCE);
    CHECK_NEAR(s[3].amount, 1100, 1e-9);
    CHECK_NEAR(s[3].idle_w, 15, 0);
    CHECK_NEAR(s[3].ripple, 0.3, 1e-12);
    CHECK(script.is_burst[3] && !script.is_burst[2]);
    CHECK(s[4].touches && isinf(s[4].duration_s));
    CHECK_NEAR(s[4].touch_degc, 10, 1e-9);
    CHECK_NEAR(s[4].tail_a, 3, 0);
    CHECK_NEAR(s[5].tail_a, 0.5, 1e-12); /* a twentieth */
    CHECK(!s[5].touches);
    script_free(&script);
}

TEST(accuracy_becomes_the_bounds_that_errors_are_drawn_from)
{
    CHECK(
        read("[bench meter]\nvoltage = 0.2 % + 3 digits\nvoltage resolution = 10 mV\ncurrent = 1 % of 50 A\n"
             "period = 500 ms\nclock = 70 ppm\n[shunt meter]\nwhen dark = tally starts again\n"
             "[program]\nrest = 1 min\n") == STATUS_OK);
    const struct instrument_make *meter = &script.meters[METER_BENCH];
    CHECK_NEAR(meter->v.gain.u, 0.002 / sqrt(3), 1e-12);
    CHECK_NEAR(meter->v.offset.u, 0.03 / sqrt(3), 1e-12);
    CHECK_NEAR(meter->a.offset.u, 0.5 / sqrt(3), 1e-12);
    CHECK_NEAR(meter->clock.u, 70e-6 / sqrt(3), 1e-15);
    CHECK_NEAR(meter->period_s, 0.5, 0);
    CHECK(script.meters[METER_SHUNT].tally_dark == TALLY_RESTARTS);
    CHECK(meter->needs_v == 0 && script.meters[METER_SHUNT].needs_v > 0);
    script_free(&script);
}

TEST(what_is_not_understood_is_named_with_its_place_and_a_form_that_works)
{
    static const struct {
        const char *text, *what, *remedy;
        long line, column;
    } wrong[] = {
        {"[program]\nrest = a while\n", "a while", "rest = 10 min", 2, 8},
        {"[program]\ndischarge = 300 W, riple 20 %, for 2 h\n", "riple 20 %", "ripple 20 %", 2, 20},
        {"[program]\ndischarge = 300 W\n", "lasts", "until cut-off", 2, 13},
        {"[program]\ndischarge = 300 W, for 2 h, until cut-off\n", "lasts", "until cut-off", 2, 13},
        {"[program]\ndischarge = 300 W, 20 A, for 2 h\n", "one of them", "300 W", 2, 13},
        {"[program]\ndischarge = 300 W, for 2 h, for 3 h\n", "twice", "300 W", 2, 29},
        {"[program]\ndischarge = -3 A, for 2 h\n", "cannot be", "300 W", 2, 13},
        {"[program]\ncharge = 20 A, until full\n", "volts it goes to", "to 14.4 V", 2, 10},
        {"[program]\nburst = 20 A, until cut-off\n", "stated time", "for 4 min", 2, 9},
        {"[program]\ndischrage = 20 A, until cut-off\n", "dischrage", "discharge", 2, 0},
        {"[pack]\ncells = 17\n[program]\nrest = 1 s\n", "17", "1 to 16", 2, 9},
        {"[pack]\ncells = 2.5\n[program]\nrest = 1 s\n", "2.5", "1 to 16", 2, 9},
        {"[board]\ntoo cold = 0 degC, again above -4 degC\n[program]\nrest = 1 s\n", "let charging in again",
         "in order", 0, 0},
        {"[probe]\ntemperature = very good\n[program]\nrest = 1 s\n", "a number should stand", "0.5 %", 2,
         15},
        {"seed = -4\n[program]\nrest = 1 s\n", "-4", "whole number", 1, 8},
        {"[pack]\ncapacity = 100 Ah\n", "does nothing", "[program]", 0, 0},
    };
    for (size_t k = 0; k < sizeof wrong / sizeof *wrong; k++) {
        CHECK(read(wrong[k].text) == STATUS_MALFORMED);
        bool well =
            strstr(message.what, wrong[k].what) != NULL && strstr(message.remedy, wrong[k].remedy) != NULL;
        if (!well || (wrong[k].column > 0 && message.column != wrong[k].column))
            printf("    case %zu: %ld:%ld %s. %s\n", k, message.line, message.column, message.what,
                   message.remedy);
        CHECK(well);
        CHECK(message.line == wrong[k].line);
        CHECK(wrong[k].column == 0 || message.column == wrong[k].column);
    }
}

TEST(remedies_are_lines_that_the_script_takes)
{
    static const char *const sections[] = {"program", "program", "program",
                                           "program", "board",   "bench meter"};
    static const char *const wrong[] = {"rest = x",   "discharge = x", "charge = x",
                                        "sensor = x", "full = x",      "period = x"};
    for (size_t k = 0; k < sizeof wrong / sizeof *wrong; k++) {
        char text[300];
        snprintf(text, sizeof text, "[%s]\n%s\n", sections[k], wrong[k]);
        CHECK(read(text) == STATUS_MALFORMED);
        for (char *from = strchr(message.remedy, '`'); from != NULL; from = strchr(from, '`')) {
            char *to = strchr(++from, '`');
            snprintf(text, sizeof text, "[%s]\n%.*s\n[program]\nrest = 1 s\n", sections[k], (int)(to - from),
                     from);
            CHECK(read(text) == STATUS_OK);
            script_free(&script);
            from = to + 1;
        }
    }
}

TEST(the_seed_decides_everything)
{
    CHECK(read("seed = 5\n[program]\ndischarge = 60 A, for 20 min\n") == STATUS_OK);
    struct rehearsal *first = rehearsal_new(&script), *again = rehearsal_new(&script);
    script.seed = 6;
    struct rehearsal *other = rehearsal_new(&script);
    size_t rows = first->shown[METER_SHUNT].count;
    CHECK(rows == again->shown[METER_SHUNT].count);
    CHECK(memcmp(first->shown[METER_SHUNT].v, again->shown[METER_SHUNT].v, rows * sizeof(double)) == 0);
    CHECK(memcmp(first->shown[METER_SHUNT].v, other->shown[METER_SHUNT].v, rows * sizeof(double)) != 0);
    CHECK(first->make.capacity_ah[0] == again->make.capacity_ah[0]);
    CHECK(first->make.capacity_ah[0] != other->make.capacity_ah[0]);
    rehearsal_free(first);
    rehearsal_free(again);
    rehearsal_free(other);
    script_free(&script);
}
