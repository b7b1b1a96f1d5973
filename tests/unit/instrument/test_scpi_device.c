#include "check.h"

#include "instrument/scpi_device.h"
#include "instrument/scpi_text.h"

static bool dark;

static bool row_now(void *context, struct serve_row *ret_row)
{
    *ret_row = (struct serve_row){
        .time_s = 2.385, .cells = {decimal_of(13.271, 3), decimal_of(-3.05, 2), decimal_of(INFINITY, 2)}};
    ret_row->cells[3].kind = DECIMAL_MISSING;
    return !dark;
}

static const struct serve_view view = {
    .identity = "Invented,Bench meter,0007,1.0",
    .channels = {CHANNEL_VOLTAGE, CHANNEL_CURRENT, CHANNEL_CHARGE_TALLY, CHANNEL_AMBIENT},
    .channel_count = 4,
    .row = row_now,
};
static struct scpi_device device;

static const char *answer_to(const char *message)
{
    static char kept[400];
    struct text answer = TEXT_EMPTY;
    scpi_device_obey(&device, span_of(message), &answer);
    snprintf(kept, sizeof kept, "%s", text_string(&answer));
    text_free(&answer);
    return kept;
}

TEST(answers_in_short_and_long_form)
{
    scpi_device_power_on(&device, &view);
    CHECK_TEXT(answer_to("*IDN?"), "Invented,Bench meter,0007,1.0\n");
    CHECK_TEXT(answer_to("MEAS:VOLT?\r"), "13.271\n");
    CHECK_TEXT(answer_to(":measure:current?"), "-3.05\n");
    CHECK_TEXT(answer_to("MEASure:CHARge?"), "9.9E37\n"); /* overload */
    CHECK_TEXT(answer_to("MEAS:AMB?"), "9.91E37\n");      /* no value */
    CHECK_TEXT(answer_to("FETC?"), "2.385,13.271,-3.05,9.9E37,9.91E37\n");
    CHECK_TEXT(answer_to("MEAS:VOLT?;CURR?;:SYST:VERS?;*OPC?"), "13.271;-3.05;1999.0;1\n");
    CHECK_TEXT(answer_to("SYST:ERR?"), "0,\"No error\"\n");
    CHECK_TEXT(answer_to("MEASU:VOLT?"), ""); /* neither form */
    CHECK_TEXT(answer_to("SYST:ERR:NEXT?"), "-113,\"Undefined header\"\n");
    CHECK_TEXT(answer_to(""), "");
}

/* Numbers of SCPI-99 volume 2, 21.8; registers of IEEE 488.2, 11. From memory. */
TEST(faults_are_queued_with_the_standard_numbers)
{
    static const struct {
        const char *message, *error;
    } faults[] = {
        {"VOLT:MEAS?", "-113,\"Undefined header\"\n"}, {"MEAS:VOLT? 10", "-108,\"Parameter not allowed\"\n"},
        {"*ESE", "-109,\"Missing parameter\"\n"},      {"*ESE on", "-104,\"Data type error\"\n"},
        {"*ESE 256", "-222,\"Data out of range\"\n"},  {"MEAS:TEMP?", "-241,\"Hardware missing\"\n"},
        {"*RST;;*CLS", "-102,\"Syntax error\"\n"},     {"MEAS:\x01VOLT?", "-101,\"Invalid character\"\n"},
    };
    scpi_device_power_on(&device, &view);
    for (size_t k = 0; k < sizeof faults / sizeof *faults; k++) {
        CHECK_TEXT(answer_to(faults[k].message), "");
        CHECK_TEXT(answer_to("SYST:ERR?"), faults[k].error);
    }
}

TEST(a_full_error_queue_says_so)
{
    scpi_device_power_on(&device, &view);
    for (int k = 0; k < SCPI_DEVICE_ERRORS + 3; k++)
        answer_to("BAD?");
    CHECK_TEXT(answer_to("SYST:ERR:COUN?"), "10\n");
    for (int k = 0; k < SCPI_DEVICE_ERRORS - 1; k++)
        CHECK_TEXT(answer_to("SYST:ERR?"), "-113,\"Undefined header\"\n");
    CHECK_TEXT(answer_to("SYST:ERR?"), "-350,\"Queue overflow\"\n");
    CHECK_TEXT(answer_to("SYST:ERR?"), "0,\"No error\"\n");
}

TEST(status_registers)
{
    scpi_device_power_on(&device, &view);
    CHECK_TEXT(answer_to("*ESR?"), "128\n"); /* power on */
    CHECK_TEXT(answer_to("*ESR?"), "0\n");
    CHECK_TEXT(answer_to("*STB?"), "0\n");
    answer_to("*OPC;*ESE 32;*SRE 32");
    CHECK_TEXT(answer_to("*ESE?;*SRE?"), "32;32\n");
    answer_to("BAD");
    CHECK_TEXT(answer_to("*STB?"), "100\n"); /* error queue 4, event 32, service 64 */
    CHECK_TEXT(answer_to("*ESR?"), "33\n");  /* command error, operation complete */
    answer_to("*CLS");
    CHECK_TEXT(answer_to("*STB?;*ESR?;:SYST:ERR?"), "0;0;0,\"No error\"\n");
}

TEST(a_dark_device_says_nothing)
{
    scpi_device_power_on(&device, &view);
    dark = true;
    CHECK_TEXT(answer_to("*IDN?"), "");
    CHECK_TEXT(answer_to("BAD"), "");
    dark = false;
    CHECK_TEXT(answer_to("SYST:ERR?"), "0,\"No error\"\n");
}

TEST(answers_split_at_commas_outside_quotes)
{
    struct span fields[SCPI_FIELDS];
    CHECK(scpi_fields(span_of("-113,\"Undefined header; here, or there\""), fields) == 2);
    CHECK(scpi_fields(span_of("+1.25E+01, 3.05 ;4"), fields) == 3 && span_is(fields[1], "3.05"));
    int number = 7;
    CHECK(scpi_error_read(span_of("+0,\"No error\""), &number) && number == 0);
    CHECK(scpi_error_read(span_of("-350,\"Queue overflow\""), &number) && number == -350);
    CHECK(!scpi_error_read(span_of("12.9"), &number) && !scpi_error_read(span_of("12.9,3"), &number));
}
