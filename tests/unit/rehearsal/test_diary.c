#include "check.h"

#include "rehearsal/bench_rig.h"
#include "rehearsal/diary.h"

#include "base/json_value.h"
#include "intake/rig_file.h"
#include "rehearsal/truth_json.h"

static struct script script;
static struct rehearsal *played;

static void set_up(const char *more)
{
    struct text text = TEXT_EMPTY;
    struct message message;
    text_addf(&text,
              "name = a hut's pack\nseed = 4\n[pack]\ncharged = 6 %%\n[claims]\ncapacity = 100 Ah | case\n%s"
              "[program]\nrest = 1 min\ndischarge = 40 A, for 1 min\nburst = 90 A, for 20 s\n"
              "discharge = 40 A, until cut-off\nrest = 1 min\ncharge = 20 A, to 14.4 V, for 1 min\n"
              "sensor = -20 degC\ncharge = 20 A, to 14.4 V, for 5 min\nsensor = 40 degC\n"
              "charge = 20 A, to 14.4 V, for 5 min\n",
              more);
    CHECK(script_read_text("s", span_of(text_string(&text)), &script, &message) == STATUS_OK);
    text_free(&text);
    played = rehearsal_new(&script);
}

static void tear_down(void)
{
    rehearsal_free(played);
    script_free(&script);
}

TEST(each_thing_is_told_once_when_it_has_happened)
{
    set_up("");
    struct diary diary = {.rehearsal = played};
    struct text early = TEXT_EMPTY, nothing = TEXT_EMPTY, late = TEXT_EMPTY;
    CHECK(diary_tell(&diary, 125, &early));
    CHECK_TEXT(text_string(&early),
               "  0:00:00  rest\n  0:01:00  load of 40 A\n  0:02:00  load of 90 A, the burst\n");
    CHECK(!diary_tell(&diary, 126, &nothing));
    CHECK(diary_tell(&diary, INFINITY, &late));
    const char *order[] = {"load of 40 A",
                           "opened for an empty cell",
                           "rest",
                           "charger, 20 A to 14.4 V\n",
                           "closed again",
                           "held at -20",
                           "too cold to charge",
                           "held at 40",
                           "allowed again"};
    const char *from = text_string(&late);
    for (size_t k = 0; k < sizeof order / sizeof *order; k++) {
        from = strstr(from, order[k]);
        CHECK(from != NULL);
        if (from == NULL)
            break;
    }
    text_free(&early);
    text_free(&nothing);
    text_free(&late);
    tear_down();
}

/* The rig that is written must say the bounds that the errors were drawn from: read back, they are the same. */
TEST(the_rig_states_what_was_drawn_from)
{
    set_up(
        "[bench meter]\nvoltage = 0.2 % + 3 digits\ncurrent = 0.7 % + 0.04 A\nclock = 70 ppm\nskew = 0.3 s\n");
    struct bench_ports ports = {.scpi = 5025, .modbus = 1502, .lines = 4001};
    struct text text = TEXT_EMPTY;
    struct rig rig;
    struct notices notices = {0};
    struct message message;
    bench_rig(played, &ports, 600, &text);
    enum status status = rig_read_text("bench.rig", span_of(text_string(&text)), &rig, &notices, &message);
    if (status != STATUS_OK)
        printf("    %ld: %s. %s\n%s", message.line, message.what, message.remedy, text_string(&text));
    CHECK(status == STATUS_OK);
    CHECK_NEAR(rig.of[CHANNEL_VOLTAGE].gain, 0.002, 1e-9);
    CHECK_NEAR(accuracy_offset(&rig.of[CHANNEL_VOLTAGE], NAN), 0.003, 1e-9);
    CHECK_NEAR(rig.of[CHANNEL_CURRENT].gain, 0.007, 1e-9);
    CHECK_NEAR(rig.of[CHANNEL_CURRENT].offset, 0.04, 1e-9);
    CHECK_NEAR(rig.of[CHANNEL_TEMPERATURE].offset, 0.7, 1e-9);
    CHECK_NEAR(rig.clock, 70e-6, 1e-12);
    CHECK_NEAR(rig.skew_s, 0.3, 1e-9);
    CHECK(rig.sense_leads && !rig.tally_shares_meter);
    notices_free(&notices);
    text_free(&text);
    tear_down();
}

/* Every tally that the shunt meter shows lies within what the rig states of it. */
TEST(tallies_stay_within_their_stated_accuracy)
{
    for (uint32_t seed = 0; seed < 40; seed++) {
        char text[80];
        snprintf(text, sizeof text, "[pack]\nambient = %u degC\n", 10 + seed % 20);
        struct message message;
        struct text all = TEXT_EMPTY;
        text_addf(&all, "seed = %u\n%s[program]\nrest = 5 min\ndischarge = 35 A, until cut-off\n", seed,
                  text);
        CHECK(script_read_text("s", span_of(text_string(&all)), &script, &message) == STATUS_OK);
        text_free(&all);
        played = rehearsal_new(&script);
        struct bench_ports ports = {.scpi = 1, .modbus = 2, .lines = 3};
        struct rig rig;
        struct notices notices = {0};
        bench_rig(played, &ports, 1, &all);
        CHECK(rig_read_text("r", span_of(text_string(&all)), &rig, &notices, &message) == STATUS_OK);
        const struct shown *shown = &played->shown[METER_SHUNT];
        size_t last = shown->count - 1;
        while (isnan(shown->tally_ah[last]))
            last--;
        CHECK(fabs(shown->tally_ah[last] - played->truth.end_ah) <
              accuracy_bound(&rig.of[CHANNEL_CHARGE_TALLY], played->truth.end_ah, NAN) + 40 / 3600.0);
        CHECK(fabs(shown->tally_wh[last] - played->truth.end_wh) <
              accuracy_bound(&rig.of[CHANNEL_ENERGY_TALLY], played->truth.end_wh, NAN) + 40 * 14 / 3600.0);
        notices_free(&notices);
        text_free(&all);
        tear_down();
    }
}

TEST(the_truth_as_json_is_the_truth)
{
    set_up("");
    struct text text = TEXT_EMPTY;
    struct message message;
    json_t *all;
    truth_json(played, &text);
    CHECK(json_parse("truth", 1, span_of(text_string(&text)), &all, &message) == STATUS_OK);
    CHECK(json_is_true(json_object_get(all, "invented")));
    json_t *end = json_object_get(all, "end");
    CHECK_NEAR(json_number_value(json_object_get(end, "at_s")), played->truth.end_s, 1e-9);
    CHECK_NEAR(json_number_value(json_object_get(end, "charge_ah")), played->truth.end_ah, 1e-9);
    json_t *segments = json_object_get(all, "segments");
    CHECK(json_array_size(segments) == script.count);
    CHECK(json_object_get(json_array_get(segments, 2), "burst_cost") != NULL);
    CHECK(json_array_size(json_object_get(all, "events")) == played->truth.events_count);
    CHECK(json_array_size(json_object_get(json_object_get(all, "pack"), "cells")) == 4);
    json_decref(all);
    text_free(&text);
    tear_down();
}

TEST(the_label_carries_the_claims)
{
    set_up("");
    struct text text = TEXT_EMPTY;
    bench_label(played, &text);
    CHECK(strstr(text_string(&text), "name = a hut's pack\n") != NULL);
    CHECK(strstr(text_string(&text), "invented = yes\n") != NULL);
    CHECK(strstr(text_string(&text), "[claims]\ncapacity = 100 Ah | case\n") != NULL);
    text_free(&text);
    tear_down();
}
