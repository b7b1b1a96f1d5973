#include "check.h"

#include "intake/rig_file.h"
#include "intake/rig_links.h"

static struct message message;
static struct links links;

static enum status parse(const char *text)
{
    links_free(&links);
    memset(&message, 0, sizeof message);
    return rig_links_read_text("hut/bench.rig", span_of(text), &links, &message);
}

static double own(int channel, double number)
{
    return unit_own(number, &links.items[0].channels[channel].unit);
}

static const char two_instruments[] = "rehearsal rate = 600\n"
                                      "shunt = class 0.5, 500 A / 50 mV\n"
                                      "[Bench meter]   ; invented\n"
                                      "driver = SCPI\n"
                                      "address = tcp 127.0.0.1:5025\n"
                                      "period = 500 ms\n"
                                      "setup = CONF:VOLT:DC 100\n"
                                      "Setup = SENS:NPLC 10\n"
                                      "query = READ?\n"
                                      "voltage from = field 1\n"
                                      "voltage = 0.05 % + 2 digits\n"
                                      "voltage resolution = 0.001 V\n"
                                      "Current_from = field 2 in mV reversed\n"
                                      "cell 12  voltage from = field 4 in mV\n"
                                      "temperature of the Sensor from = field 3 in °F\n"
                                      "charge tally from = field 7 in A h times 0.1 reversed plus 2.5\n"
                                      "time from = field 5 in ms\n"
                                      "[log]\n"
                                      "driver = lines\n"
                                      "address = stdin\n"
                                      "ambient from = key air.t\n";

TEST(reads_the_links_beside_the_accuracy)
{
    CHECK(parse(two_instruments) == STATUS_OK);
    CHECK(links.count == 2);
    CHECK_NEAR(links.clock_rate, 600, 0);
    const struct link *link = &links.items[0];
    CHECK_TEXT(link->name, "Bench meter");
    CHECK_TEXT(link->driver, "scpi");
    CHECK_TEXT(link->address, "tcp 127.0.0.1:5025");
    CHECK_NEAR(link->period_s, 0.5, 1e-15);
    CHECK_NEAR(link->timeout_s, 60, 1e-9); /* of a stated 2: a tenth of a second of the machine */
    CHECK(link->channel_count == 5 && link->own_time);
    CHECK_TEXT(link->channels[1].source, "field 2");
    CHECK_TEXT(link->channels[1].unit_symbol, "mV");
    CHECK_TEXT(link->channels[2].name, "cell 12 voltage");
    CHECK(link->channels[2].channel == CHANNELS && link->channels[2].quantity == QUANTITY_VOLTAGE);
    CHECK_TEXT(link->channels[3].name, "temperature of the sensor");
    const struct link_setting *setup = link_setting(link, "setup", NULL);
    CHECK_TEXT(setup->value, "CONF:VOLT:DC 100");
    setup = link_setting(link, "setup", setup);
    CHECK_TEXT(setup->value, "SENS:NPLC 10");
    CHECK(setup->line == 8 && setup->column == 9 && link_setting(link, "setup", setup) == NULL);
    CHECK(links.items[1].channels[0].channel == CHANNEL_AMBIENT && links.items[1].period_s == 0);
    CHECK_NEAR(links.items[1].timeout_s, 60, 1e-9);
}

TEST(units_factors_and_signs_are_one_unit)
{
    CHECK(parse(two_instruments) == STATUS_OK);
    CHECK_NEAR(own(0, 12.908), 12.908, 0);
    CHECK_NEAR(own(1, 10.37), -103.7, 1e-9); /* mV across 100 µΩ, reversed */
    CHECK_NEAR(own(2, 3287), 3.287, 1e-12);
    CHECK_NEAR(own(3, 75.2), 24, 1e-9); /* °F */
    CHECK_NEAR(own(4, 371), -(37.1 + 2.5), 1e-9);
    CHECK_NEAR(unit_own(2385, &links.items[0].time_source.unit), 2.385, 1e-12);
}

static const struct {
    const char *text;
    long line;
    const char *what, *remedy;
} refused[] = {
    {"[m]\ndriver = scip\n", 2, "no driver `scip`", "`scpi`"},
    {"driver = scpi\n", 1, "belongs to an instrument", "[bench meter]"},
    {"[m]\ndriver = scpi\nvlotage from = X?\n", 3, "no channel `vlotage`", "`voltage from`"},
    {"[m]\ndriver = scpi\nvoltage from =\n", 3, "should stand here", "field 2"},
    {"[m]\ndriver = scpi\nvoltage from = field 1 in Am\n", 3, "`Am` is no unit", "in V"},
    {"[m]\ndriver = scpi\nvoltage from = field 1 in A\n", 3, "no unit of voltage", "in V"},
    {"[m]\ndriver = scpi\ncurrent from = field 1 in mV\n", 3, "needs the shunt", "500 A / 50 mV"},
    {"[m]\ndriver = scpi\ncurrent from = field 1 times 0\n", 3, "leave nothing", "factor"},
    {"[m]\ndriver = scpi\nvoltage from = A?\nVoltage From = B?\n", 4, "stated twice", "keep"},
    {"[m]\ndriver = scpi\nambient from = A?\nambient temperature from = B?\n", 4, "stated twice", "keep"},
    {"[m]\ndriver = scpi\nperiod = 2 V\n", 3, "should be one time", "number in s"},
    {"[m]\ndriver = scpi\ntimeout = 0 s\n", 3, "cannot be kept", "0.001"},
    {"[m]\ndriver = scpi\ndriver = lines\n", 3, "stated twice", "keep"},
    {"rehearsal rate = 0\n[m]\ndriver = scpi\n", 1, "faster than life", "100000"},
};

TEST(faults_have_a_place_and_a_remedy)
{
    for (size_t k = 0; k < sizeof refused / sizeof *refused; k++) {
        CHECK(parse(refused[k].text) == STATUS_MALFORMED);
        CHECK(message.line == refused[k].line);
        CHECK_TEXT(message.file, "hut/bench.rig");
        if (strstr(message.what, refused[k].what) == NULL)
            CHECK_TEXT(message.what, refused[k].what);
        if (strstr(message.remedy, refused[k].remedy) == NULL)
            CHECK_TEXT(message.remedy, refused[k].remedy);
    }
}

static enum status judge(const char *text, struct rig *rig)
{
    struct notices notices = {0};
    memset(&message, 0, sizeof message);
    enum status status = rig_read_text("hut/bench.rig", span_of(text), rig, &notices, &message);
    notices_free(&notices);
    return status;
}

TEST(the_same_file_serves_as_accuracy)
{
    struct rig rig;
    CHECK(judge(two_instruments, &rig) == STATUS_OK);
    CHECK_NEAR(rig.of[CHANNEL_VOLTAGE].gain, 0.0005, 1e-15);
    CHECK_NEAR(rig.of[CHANNEL_VOLTAGE].resolution, 0.001, 1e-15);
    /* a mistyped key of a link is refused by the nearest of both forms */
    CHECK(judge("[m]\ndriver = scpi\nadress = tcp a:1\n", &rig) == STATUS_MALFORMED);
    CHECK(strstr(message.remedy, "`address`") != NULL && message.line == 3);
    CHECK(judge("[m]\ndriver = scpi\ncurent = 1 %\n", &rig) == STATUS_MALFORMED);
    CHECK(strstr(message.remedy, "`current`") != NULL);
    /* another driver's key */
    CHECK(judge("[m]\ndriver = scpi\ntopic = a/b\n", &rig) == STATUS_MALFORMED);
    /* a link's fault counts here too, and a section without a driver has no links */
    CHECK(judge("[m]\ndriver = scpi\nvoltage from = a? in A\n", &rig) == STATUS_MALFORMED);
    CHECK(judge("[m]\nvoltage from = a?\n", &rig) == STATUS_MALFORMED);
}

TEST(a_rig_without_links_has_none)
{
    CHECK(parse("[voltage]\naccuracy = 0.5 %\n") == STATUS_OK);
    CHECK(links.count == 0 && links.clock_rate == 1);
    links_free(&links);
}
