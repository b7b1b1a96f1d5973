/* The headers are of the kinds that instruments and spreadsheets print; common practice, no source. */
#include "intake/header_words.h"
#include "intake/headers.h"
#include "check.h"

static bool is(const char *text, const char *unit_below, const char *role, const char *unit)
{
    struct header header = header_read(text, unit_below);
    const char *got = role_name(header.role, header.channel);
    bool same = strcmp(got, role) == 0 && strcmp(header.unit_text, unit) == 0;
    if (!same)
        printf("    '%s' is %s [%s], expected %s [%s]\n", text, got, header.unit_text, role, unit);
    return same;
}

TEST(units_in_every_way)
{
    CHECK(is("Voltage(V)", "", "voltage", "V"));
    CHECK(is("Voltage (V)", "", "voltage", "V"));
    CHECK(is("I [mA]", "", "current", "mA"));
    CHECK(is("I[A]", "", "current", "A"));
    CHECK(is("temp_degC", "", "temperature", "degC"));
    CHECK(is("U/V", "", "voltage", "V"));
    CHECK(is("I/mA", "", "current", "mA"));
    CHECK(is("t/s", "", "time", "s"));
    CHECK(is("T/°C", "", "temperature", "°C"));
    CHECK(is("Current, A", "", "current", "A"));
    CHECK(is("Current in mA", "", "current", "mA"));
    CHECK(is("Spannung [V]", "", "voltage", "V"));
    CHECK(is("Strom in A", "", "current", "A"));
    CHECK(is("Zeit [min]", "", "time", "min"));
    CHECK(is("Temperatur (°C)", "", "temperature", "°C"));
    CHECK(is("Voltage", "mV", "voltage", "mV"));
    CHECK(is("Current", "[A]", "current", "A"));
    CHECK(is("voltage_mV", "", "voltage", "mV"));
    CHECK(is("currentmA", "", "current", "mA"));
    CHECK(is("packVoltageV", "", "voltage", "V"));
    CHECK(is("BattV", "", "voltage", "V"));
    CHECK(is("tempF", "", "temperature", "F"));
    CHECK(is("Power <kW>", "", "power", "kW"));
    CHECK(is("Energy {kWh}", "", "energy tally", "kWh"));
    CHECK(is("Capacity/mA.h", "", "charge tally", "mA.h"));
    CHECK(is("Elapsed (h)", "", "time", "h"));
    CHECK(is("time_ms", "", "time", "ms"));
}

TEST(hours_in_two_words)
{
    CHECK(is("AMP-HOURS", "", "charge tally", "amp-hours"));
    CHECK(is("Watt hours", "", "energy tally", "watt-hours"));
    CHECK(is("Discharged Amp Hours", "", "charge tally", "amp-hours"));
    CHECK_REL(header_read("milliamp hours", "").unit.factor, 1e-3, 1e-15);
    CHECK(is("Hours", "", "time", "Hours"));
}

TEST(bare_units_and_letters)
{
    CHECK(is("V", "", "voltage", "V"));
    CHECK(is("A", "", "current", "A"));
    CHECK(is("mA", "", "current", "mA"));
    CHECK(is("Ah", "", "charge tally", "Ah"));
    CHECK(is("Wh", "", "energy tally", "Wh"));
    CHECK(is("°C", "", "temperature", "°C"));
    CHECK(is("U", "", "voltage", ""));
    CHECK(is("i", "", "current", ""));
    CHECK(is("t", "", "time", ""));
    CHECK(is("s", "", "time", "s"));
    CHECK(is("Volts", "", "voltage", "Volts"));
    CHECK(is("Amps", "", "current", "Amps"));
}

TEST(a_unit_alone_names_a_strange_column)
{
    CHECK(is("Untitled (V)", "", "voltage", "V"));
    CHECK(is("Channel 3 [A]", "", "current", "A"));
    CHECK(is("Sensor A", "", "unused", "")); /* a name, not amperes */
    CHECK(is("Phase A", "", "unused", ""));
    CHECK(is("Voltage A", "", "voltage", ""));
}

TEST(words_and_units_that_disagree_are_not_believed)
{
    CHECK(is("Voltage (A)", "", "unused", ""));
    CHECK(is("Internal resistance (mOhm)", "", "unused", ""));
    CHECK(is("SOC (%)", "", "unused", ""));
    CHECK(header_read("Charge (C)", "").unit.quantity == QUANTITY_CHARGE); /* coulombs */
    CHECK_REL(header_read("Charge (C)", "").unit.factor, 1.0 / 3600, 1e-15);
    CHECK(is("Capacity (Wh)", "", "energy tally", "Wh"));
    CHECK_REL(header_read("TIME (MS)", "").unit.factor, 1e-3, 1e-15);
}

TEST(other_roles)
{
    CHECK(is("StepTime(s)", "", "step time", "s"));
    CHECK(is("Step_Time(s)", "", "step time", "s"));
    CHECK(is("Step", "", "step", ""));
    CHECK(is("Step_Index", "", "step", ""));
    CHECK(is("Mode", "", "mode", ""));
    CHECK(is("Status", "", "mode", ""));
    CHECK(is("Notes", "", "mark", ""));
    CHECK(is("Bemerkung", "", "mark", ""));
    CHECK(is("Date", "", "date", ""));
    CHECK(is("Datum", "", "date", ""));
    CHECK(is("Date/Time", "", "time", ""));
    CHECK(is("DateTime", "", "time", ""));
    CHECK(is("Timestamp", "", "time", ""));
    CHECK(is("Loop", "", "unused", ""));
    CHECK(header_read("Date_Time", "").wall_clock && !header_read("Test_Time(s)", "").wall_clock);
}

TEST(ranks)
{
    CHECK(header_read("Battery Voltage (V)", "").rank == RANK_SAMPLE);
    CHECK(header_read("Voltage (V)", "").rank == RANK_PLAIN);
    CHECK(header_read("Cell 3 voltage (V)", "").rank == RANK_NEVER);
    CHECK(header_read("Max cell voltage", "").rank == RANK_NEVER);
    CHECK(header_read("Charger voltage", "").rank == RANK_NEVER);
    CHECK(header_read("Current limit (A)", "").rank == RANK_NEVER);
    CHECK(header_read("Bat_Temp", "").rank == RANK_SAMPLE);
    CHECK(header_read("ambient_Temp", "").channel == CHANNEL_AMBIENT);
    CHECK(header_read("Chamber temperature (°C)", "").channel == CHANNEL_AMBIENT);
    CHECK(header_read("Discharge_Capacity(Ah)", "").rank > header_read("Charge_Capacity(Ah)", "").rank);
    CHECK(header_read("Discharge current (A)", "").discharge_only);
    CHECK(header_read("Charge current (A)", "").charge_only);
}

TEST(signs_in_words)
{
    CHECK(header_sign(span_of("Current (A, discharge positive)")) == 1);
    CHECK(header_sign(span_of("current: positive = charge, negative = discharge")) == -1);
    CHECK(header_sign(span_of("+ is discharge")) == 1);
    CHECK(header_sign(span_of("discharge current is negative")) == -1);
    CHECK(header_sign(span_of("Current (A)")) == 0);
    CHECK(header_sign(span_of("charge and discharge, positive and negative")) == 0);
}

TEST(modes_in_words)
{
    static const struct {
        const char *word;
        int direction;
    } words[] = {
        {"CHRG", -1},   {"DCHG", 1},  {"REST", 0},   {"Discharge", 1}, {"CC charge", -1},
        {"idle", 0},    {"C", -1},    {"D", 1},      {"R", 0},         {"CC_DChg", 1},
        {"CV_Chg", -1}, {"Pause", 0}, {"Laden", -1}, {"Entladen", 1},
    };
    for (size_t k = 0; k < sizeof words / sizeof *words; k++) {
        int direction = 7;
        CHECK(header_mode(span_of(words[k].word), &direction));
        CHECK_NEAR(direction, words[k].direction, 0);
    }
    int direction;
    CHECK(!header_mode(span_of("warm"), &direction));
    CHECK(!header_mode(span_of(""), &direction));
}
