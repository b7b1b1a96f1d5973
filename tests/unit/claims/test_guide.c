#include "check.h"

#include "battery/trip_stimulus.h"
#include "claims/guide.h"

#include <string.h>

static struct label labelled(const char *text)
{
    struct label label = label_empty();
    struct notices notices = {0};
    struct message message = {0};
    CHECK(label_read_text("sample.label", span_of(text), &label, &notices, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    notices_free(&notices);
    return label;
}

static const char full_label[] =
    "[sample]\nname = Sample 9\ninvented = yes\nchemistry = LiFePO4\n[claims]\nnominal voltage = 12.8 V\ncapacity = 96 Ah\n"
    "continuous current = 90 A\npeak current = 210 A for 4 s\ncharge voltage = 14.4 V\ncharge current = 40 A\n"
    "charging stops when cold = yes, below 1.5 °C\nhighest charge temperature = 52 °C\ncut-off voltage = 9.2 V\n";

static struct guide made(enum guide_test test, const char *text, const struct rig *rig, const struct loads *loads)
{
    struct label label = labelled(text);
    struct rig plain = rig_default();
    struct guide guide;
    struct message message;
    CHECK(guide_make(test, &label, rig != NULL ? rig : &plain, loads, &guide, &message) == STATUS_OK);
    label_free(&label);
    return guide;
}

static bool says(const struct guide *guide, enum guide_part part, const char *words)
{
    for (size_t k = 0; k < guide->count; k++)
        if (guide->lines[k].part == part && strstr(guide->lines[k].words, words) != NULL)
            return true;
    return false;
}

static const char *number(const struct guide *guide, const char *what)
{
    for (size_t k = 0; k < guide->number_count; k++)
        if (strcmp(guide->numbers[k].what, what) == 0)
            return guide->numbers[k].words;
    return "none such";
}

TEST(a_sheet_has_the_numbers_of_the_label)
{
    struct guide guide = made(GUIDE_COLD_CHARGE, full_label, NULL, NULL);
    CHECK_TEXT(guide.sample, "Sample 9");
    CHECK(guide.invented);
    CHECK_TEXT(number(&guide, "claimed: no charge below"), "1.5 °C");
    CHECK_TEXT(number(&guide, "lowest at the probe"), "−3.5 °C");
    CHECK_TEXT(number(&guide, "supply, volts"), "14.4 V");
    CHECK_TEXT(number(&guide, "supply, current"), "4.8 A (0.05 It)");
    guide = made(GUIDE_OVER_CURRENT, full_label, NULL, NULL);
    CHECK_TEXT(number(&guide, "held from full for"), "about 64 min");
    CHECK(says(&guide, GUIDE_STEPS, "210 A for 4 s"));
    CHECK(says(&guide, GUIDE_STOP, "Below 10 V (2.5 V a cell)"));
    CHECK_TEXT(number(&guide, "the loads reach"), "cannot tell");
}

TEST(what_the_label_does_not_tell_cannot_be_told)
{
    static const char bare[] = "[sample]\nname = Sample 9\n[claims]\nmass = 11 kg\n";
    struct guide guide = made(GUIDE_COLD_CHARGE, bare, NULL, NULL);
    CHECK_TEXT(number(&guide, "claimed: no charge below"), "cannot tell");
    CHECK_TEXT(number(&guide, "supply, volts"), "cannot tell");
    CHECK_TEXT(number(&guide, "supply, current"), "cannot tell");
    CHECK(says(&guide, GUIDE_SHOWS, "usual limit, 0 °C"));
    CHECK(says(&guide, GUIDE_NEEDS, "0.05 It at up to 3.6 V a cell"));
    CHECK_TEXT(number(&guide, "lag of the probe"), "cannot tell");
}

TEST(a_claim_beyond_the_cells_is_not_followed)
{
    struct guide low = made(GUIDE_LOW_VOLTAGE, full_label, NULL, NULL);
    CHECK(says(&low, GUIDE_STOP, "The label's 9.2 V lies below 10 V"));
    struct guide charge = made(GUIDE_CHARGE, "[sample]\nname = x\nchemistry = LiFePO4\n[claims]\nnominal voltage = 12.8 V\n"
                                             "charge voltage = 15.2 V\n", NULL, NULL);
    CHECK_TEXT(number(&charge, "charge to"), "14.6 V (3.65 V a cell)");
    struct guide hot = made(GUIDE_HOT_CHARGE, "[sample]\nname = x\n[claims]\nhighest charge temperature = 80 °C\n", NULL, NULL);
    CHECK_TEXT(number(&hot, "highest at the probe"), "65 °C");
}

TEST(a_sheet_follows_what_the_rig_reads_and_the_loads_draw)
{
    struct rig rig = rig_default();
    struct guide blind = made(GUIDE_HOT_CHARGE, full_label, &rig, NULL);
    CHECK(says(&blind, GUIDE_SHOWS_NOT, "this rig reads none") && !says(&blind, GUIDE_STEPS, "slow"));
    rig.of[CHANNEL_TEMPERATURE].stated = true;
    rig.probe_tau_s = 24;
    struct guide seeing = made(GUIDE_HOT_CHARGE, full_label, &rig, NULL);
    CHECK(!says(&seeing, GUIDE_SHOWS_NOT, "this rig reads none") && says(&seeing, GUIDE_STEPS, "42 °C up at no more than 0.5 K/min"));
    CHECK(says(&seeing, GUIDE_PREPARE, "lag of 24 s") && says(&seeing, GUIDE_PREPARE, "0.2 K"));

    struct load heater = {.name = "heater", .power_w = 640, .current_a = NAN, .fills_wh = NAN};
    struct loads loads = {.loads = &heater, .count = 1};
    struct guide weak = made(GUIDE_OVER_CURRENT, full_label, NULL, &loads);
    CHECK_TEXT(number(&weak, "the loads reach"), "50 A");
    CHECK(says(&weak, GUIDE_STEPS, "all that the loads reach, 50 A") && !says(&weak, GUIDE_STEPS, "raise it to 210 A"));
}

/* The marks that a sheet asks for are read as what was done, by the very reader that judges the trips. */
TEST(marks_are_those_that_the_reader_of_trips_understands)
{
    struct rig rig = rig_default();
    rig.of[CHANNEL_TEMPERATURE].stated = true;
    for (int test = 0; test < GUIDE_TESTS; test++) {
        struct guide guide = made((enum guide_test)test, full_label, &rig, NULL);
        int treated = 0;
        for (size_t k = 0; k < guide.count; k++) {
            const struct guide_line *line = &guide.lines[k];
            bool treats = strstr(line->mark, "chilled") != NULL || strstr(line->mark, "heated") != NULL;
            enum trip_way wanted = !treats ? TRIP_UNKNOWN : test == GUIDE_COLD_CHARGE ? TRIP_COLD : TRIP_HOT;
            treated += treats;
            CHECK(treatment_of(line->mark).way == wanted && !(treats && stimulus_is_outcome(line->mark)));
            CHECK(strchr(line->words, '{') == NULL);
            CHECK(line->mark[0] == '\0' || line->part == GUIDE_STEPS);
        }
        CHECK((treated >= 2) == (test == GUIDE_COLD_CHARGE || test == GUIDE_HOT_CHARGE));
    }
}

TEST(claims_know_their_sheet)
{
    struct label label = labelled(full_label);
    int found[GUIDE_TESTS + 1] = {0};
    for (size_t k = 0; k < label.claim_count; k++)
        found[guide_of_claim(&label.claims[k])]++;
    CHECK(found[GUIDE_COLD_CHARGE] == 1 && found[GUIDE_HOT_CHARGE] == 1 && found[GUIDE_OVER_CURRENT] == 2);
    CHECK(found[GUIDE_CHARGE] == 2 && found[GUIDE_LOW_VOLTAGE] == 1 && found[GUIDE_TESTS] == 2);
    label_free(&label);
    CHECK(guide_named("short-circuit") == GUIDE_TESTS && guide_named("hot-charge") == GUIDE_HOT_CHARGE);
}

/* 3.6 V a cell would boil a battery of lead. */
TEST(no_sheet_for_another_chemistry)
{
    struct label label = labelled("[sample]\nname = x\nchemistry = lead\n[claims]\ncapacity = 96 Ah\ncells = 6\n");
    struct label none = label_empty();
    struct rig rig = rig_default();
    struct guide guide;
    struct message message = {0};
    CHECK(guide_make(GUIDE_CHARGE, &label, &rig, NULL, &guide, &message) == STATUS_AMBIGUOUS);
    CHECK_TEXT(message.file, "sample.label");
    CHECK(strstr(message.what, "another chemistry") != NULL && strstr(message.remedy, "chemistry = LiFePO4") != NULL);
    CHECK(guide_make(GUIDE_CHARGE, &none, &rig, NULL, &guide, &message) == STATUS_OK); /* the general one */
    label_free(&label);
}
