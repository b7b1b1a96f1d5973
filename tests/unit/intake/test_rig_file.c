#include "check.h"

#include "intake/rig_file.h"

static struct message message;
static struct notices notices;

static enum status parse(const char *text, struct rig *rig)
{
    memset(&message, 0, sizeof message);
    notices_free(&notices);
    return rig_read_text("hut/bench.rig", span_of(text), rig, &notices, &message);
}

TEST(reads_a_rig_by_channel)
{
    struct rig rig;
    CHECK(parse("name = Bench by the window ; invented\n"
                "clock = ±50 ppm\n"
                "film = 29.97 fps, ±1 frame\n"
                "ripple = 30 %\n"
                "[Voltage]\n"
                "accuracy = ±(0.05 % rdg + 2 dgt)\n"
                "resolution = 0.01 V\n"
                "leads = 3 mohm ± 1 mohm\n"
                "[current]\n"
                "accuracy = 0.1 % + 0,02 mV\n"
                "resolution = 0.01 mV\n"
                "shunt = class 0.5, 500 A / 50 mV\n"
                "averaging = 1 s\n"
                "skew = 0.2 s\n"
                "[temperature]\n"
                "accuracy = ± 1 K\n"
                "probe lag = 20 s\n",
                &rig) == STATUS_OK);
    CHECK_TEXT(rig.name, "Bench by the window");
    CHECK_TEXT(rig.path, "hut/bench.rig");
    CHECK_NEAR(rig.clock, 50e-6, 1e-15);
    CHECK_NEAR(rig.frame_s, 1001.0 / 30000, 1e-12);
    CHECK_NEAR(rig.ripple, 0.3, 1e-15);
    CHECK_NEAR(rig.of[CHANNEL_VOLTAGE].gain, 0.0005, 1e-15);
    CHECK_NEAR(rig.of[CHANNEL_VOLTAGE].digits, 2, 0);
    CHECK_NEAR(rig.of[CHANNEL_VOLTAGE].resolution, 0.01, 1e-15);
    CHECK_NEAR(rig.lead_ohm, 0.003, 1e-15);
    CHECK_NEAR(rig.lead_halfwidth_ohm, 0.001, 1e-15);
    CHECK_NEAR(rig.of[CHANNEL_CURRENT].shunt_gain, 0.005, 1e-15);
    CHECK_NEAR(rig.of[CHANNEL_CURRENT].offset, 0.2, 1e-12); /* 0.02 mV over 100 µΩ */
    CHECK_NEAR(rig.of[CHANNEL_CURRENT].resolution, 0.1, 1e-12);
    CHECK_NEAR(rig.averaging_s, 1, 0);
    CHECK_NEAR(rig.skew_s, 0.2, 1e-15);
    CHECK_NEAR(rig.of[CHANNEL_TEMPERATURE].offset, 1, 1e-12);
    CHECK_NEAR(rig.probe_tau_s, 20, 0);
    /* the tallies follow from amps and volts; power and ambient keep the default, and are named */
    CHECK_NEAR(rig.of[CHANNEL_ENERGY_TALLY].gain, 0.0015, 1e-12);
    CHECK(rig.of[CHANNEL_CHARGE_TALLY].stated && !rig.of[CHANNEL_POWER].stated);
    CHECK(notices.count == 1 && strstr(notices.items[0].text, "power") != NULL &&
          strstr(notices.items[0].text, "ambient temperature") != NULL && strstr(notices.items[0].text, "charge tally") == NULL);
    notices_free(&notices);
}

TEST(reads_a_rig_by_instrument)
{
    struct rig rig;
    CHECK(parse("[shunt monitor]\nvoltage = 0.5 % + 3 digits\ncurrent = 1 % of 100 A\ncurrent resolution = 0.1 A\n"
                "charge tally = 2 %\ntally = same shunt\nsense leads = yes\n"
                "[thermometer]\ntemperature = 1 °C\nambient = 2 °F\n",
                &rig) == STATUS_OK);
    CHECK_NEAR(rig.of[CHANNEL_CURRENT].offset, 1, 1e-12);
    CHECK_NEAR(rig.of[CHANNEL_CURRENT].resolution, 0.1, 1e-12);
    CHECK_NEAR(rig.of[CHANNEL_CHARGE_TALLY].gain, 0.02, 1e-15);
    CHECK_NEAR(rig.of[CHANNEL_AMBIENT].offset, 10.0 / 9, 1e-12);
    CHECK(rig.sense_leads && rig.lead_halfwidth_ohm == 0 && rig.tally_shares_meter);
    CHECK_TEXT(rig.name, "bench.rig");
    notices_free(&notices);
}

TEST(an_empty_rig_is_the_default_with_a_notice)
{
    struct rig rig, wide = rig_default();
    CHECK(parse("# nothing yet\n", &rig) == STATUS_OK);
    CHECK_NEAR(rig.of[CHANNEL_CURRENT].gain, wide.of[CHANNEL_CURRENT].gain, 0);
    CHECK(isnan(rig.ripple) && isnan(rig.skew_s) && notices.count == 1);
    CHECK(rig.identity != 0 && rig.identity != wide.identity);
    notices_free(&notices);
}

TEST(one_file_is_one_identity)
{
    struct rig a, b, c;
    CHECK(parse("clock = 50 ppm\n", &a) == STATUS_OK && parse("clock = 50 ppm\n", &b) == STATUS_OK);
    CHECK(parse("clock = 51 ppm\n", &c) == STATUS_OK);
    CHECK(a.identity == b.identity && a.identity != c.identity);
    CHECK(rig_source(&a, CHANNEL_CURRENT, ERROR_GAIN) != rig_source(&c, CHANNEL_CURRENT, ERROR_GAIN));
    CHECK(a.identity < 1u << 22); /* what rig_source leaves to it */
    notices_free(&notices);
}

TEST(faults_name_the_place_and_leave_the_rig)
{
    static const struct { const char *text; long line, column; } bad[] = {
        {"[current]\naccuracy = 0.5 % + 3 volts\n", 2, 20},
        {"[current]\naccuracy = ± 0.5 % + 3 quux\n", 2, 24},
        {"[current]\nacuracy = 0.5 %\n", 2, 11},
        {"[curent]\naccuracy = 0.5 %\n", 2, 12},
        {"[meter]\nvoltage = 1 %\n[voltage]\naccuracy = 2 %\n", 4, 12},
        {"clock = 50 s\n", 1, 9},
        {"clock = 50 ppm\n[meter]\nclock = 20 ppm\n", 3, 9},
        {"skew = 3 %\n", 1, 8},
        {"film = 26.3 fps\n", 1, 8},
        {"film = variable, ±1 frame\n", 1, 19},
        {"leads = 3\n", 1, 9},
        {"sense leads = perhaps\n", 1, 15},
        {"tally = other\n", 1, 9},
        {"shunt = class 0.5, 500 V / 50 mV\n", 1, 20},
        {"[voltage]\nresolution = 3 digits\n", 2, 14},
    };
    for (size_t k = 0; k < sizeof bad / sizeof *bad; k++) {
        struct rig rig = {.clock = -1};
        CHECK(parse(bad[k].text, &rig) == STATUS_MALFORMED);
        CHECK(rig.clock == -1 && notices.count == 0);
        CHECK_TEXT(message.file, "hut/bench.rig");
        CHECK_NEAR((double)message.line, (double)bad[k].line, 0);
        CHECK_NEAR((double)message.column, (double)bad[k].column, 0);
        CHECK(message.what[0] != '\0' && message.remedy[0] != '\0');
    }
    struct rig rig;
    CHECK(rig_read("/no/such/rig", &rig, &notices, &message) == STATUS_UNREADABLE);
}

/* Each example of the document is a rig file, and so is the demo's. */
TEST(the_document_tells_the_truth)
{
    struct text text = TEXT_EMPTY;
    struct rig rig;
    int examples = 0;
    CHECK(text_read_file("docs/rig.md", 1 << 20, &text) == 0);
    for (const char *start = text_string(&text); (start = strstr(start, "```ini\n")) != NULL; examples++) {
        const char *end = strstr(start + 7, "```");
        struct text example = TEXT_EMPTY;
        text_add_bytes(&example, start + 7, end != NULL ? (size_t)(end - start - 7) : 0);
        CHECK(parse(text_string(&example), &rig) == STATUS_OK);
        CHECK(rig.of[CHANNEL_CURRENT].stated);
        text_free(&example);
        start += 7;
    }
    CHECK(examples == 3);
    text_free(&text);
    notices_free(&notices);
    CHECK(rig_read("demo/hut-pack.rig", &rig, &notices, &message) == STATUS_OK);
    CHECK_NEAR(rig.of[CHANNEL_VOLTAGE].gain, 0.0015, 1e-12);
    notices_free(&notices);
}
