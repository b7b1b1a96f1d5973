#include "instrument/scpi_device.h"

#include "base/number.h"

#include <ctype.h>

enum {
    EVENT_COMPLETE = 1,
    EVENT_QUERY = 4,
    EVENT_DEVICE = 8,
    EVENT_EXECUTION = 16,
    EVENT_COMMAND = 32,
    EVENT_POWER_ON = 128
};
enum { STATUS_ERRORS = 4, STATUS_EVENT = 32, STATUS_SERVICE = 64 };

static const struct {
    int number;
    const char *words;
} known_errors[] = {
    {0, "No error"},
    {-100, "Command error"},
    {-101, "Invalid character"},
    {-102, "Syntax error"},
    {-104, "Data type error"},
    {-108, "Parameter not allowed"},
    {-109, "Missing parameter"},
    {-113, "Undefined header"},
    {-222, "Data out of range"},
    {-241, "Hardware missing"},
    {-350, "Queue overflow"},
    {-363, "Input buffer overrun"},
};

static const char *words_of(int number)
{
    for (size_t k = 0; k < sizeof known_errors / sizeof *known_errors; k++)
        if (known_errors[k].number == number)
            return known_errors[k].words;
    return "Device-specific error";
}

void scpi_device_power_on(struct scpi_device *device, const struct serve_view *view)
{
    *device = (struct scpi_device){.view = view, .event = EVENT_POWER_ON};
}

void scpi_device_fault(struct scpi_device *device, int number)
{
    if (device->error_count < SCPI_DEVICE_ERRORS)
        device->errors[device->error_count++] = number;
    else
        device->errors[SCPI_DEVICE_ERRORS - 1] = number = -350;
    device->event |= number <= -400   ? EVENT_QUERY
                     : number <= -300 ? EVENT_DEVICE
                     : number <= -200 ? EVENT_EXECUTION
                                      : EVENT_COMMAND;
}

/* One command of a message as it is obeyed. */
struct unit_run {
    struct scpi_device *device;
    const struct serve_row *row;
    int number; /* the parameter, where one is taken */
    int detail; /* from the table: a channel */
    struct text *answer;
};

static unsigned status_byte(const struct scpi_device *device)
{
    unsigned status = (device->error_count > 0 ? STATUS_ERRORS : 0) |
                      ((device->event & device->event_enable) != 0 ? STATUS_EVENT : 0);
    return status | ((status & device->service_enable) != 0 ? STATUS_SERVICE : 0);
}

static void identify(struct unit_run *run)
{
    text_add(run->answer, run->device->view->identity);
}

static void reset(struct unit_run *run)
{
}

static void clear(struct unit_run *run)
{
    run->device->error_count = 0;
    run->device->event = 0;
}

static void complete(struct unit_run *run)
{
    run->device->event |= EVENT_COMPLETE;
}

static void answer_one(struct unit_run *run)
{
    text_add(run->answer, "1");
}

static void answer_zero(struct unit_run *run)
{
    text_add(run->answer, "0");
}

static void enable_event(struct unit_run *run)
{
    run->device->event_enable = (unsigned)run->number;
}

static void enable_service(struct unit_run *run)
{
    run->device->service_enable = (unsigned)run->number & ~(unsigned)STATUS_SERVICE;
}

static void ask_event_enable(struct unit_run *run)
{
    text_addf(run->answer, "%u", run->device->event_enable);
}

static void ask_service_enable(struct unit_run *run)
{
    text_addf(run->answer, "%u", run->device->service_enable);
}

static void ask_event(struct unit_run *run)
{
    text_addf(run->answer, "%u", run->device->event);
    run->device->event = 0;
}

static void ask_status(struct unit_run *run)
{
    text_addf(run->answer, "%u", status_byte(run->device));
}

static void next_error(struct unit_run *run)
{
    struct scpi_device *device = run->device;
    int number = device->error_count > 0 ? device->errors[0] : 0;
    if (device->error_count > 0)
        memmove(device->errors, device->errors + 1, (size_t)--device->error_count * sizeof *device->errors);
    text_addf(run->answer, "%d,\"%s\"", number, words_of(number));
}

static void count_errors(struct unit_run *run)
{
    text_addf(run->answer, "%d", run->device->error_count);
}

static void version(struct unit_run *run)
{
    text_add(run->answer, "1999.0");
}

static void add_cell(struct text *answer, struct decimal cell)
{
    char digits[DECIMAL_TEXT];
    decimal_print(cell, digits);
    bool number = cell.kind == DECIMAL_NUMBER || cell.kind == DECIMAL_NEGATIVE_ZERO;
    text_add(answer, number ? digits : cell.kind == DECIMAL_OVERLOAD ? "9.9E37" : "9.91E37");
}

static void measure(struct unit_run *run)
{
    const struct serve_view *view = run->device->view;
    for (int k = 0; k < view->channel_count; k++)
        if (view->channels[k] == (enum channel)run->detail) {
            add_cell(run->answer, run->row->cells[k]);
            return;
        }
    scpi_device_fault(run->device, -241);
}

static void fetch(struct unit_run *run)
{
    add_cell(run->answer, decimal_of(run->row->time_s, 3));
    for (int k = 0; k < run->device->view->channel_count; k++) {
        text_add(run->answer, ",");
        add_cell(run->answer, run->row->cells[k]);
    }
}

static const struct {
    const char *header; /* capitals: the short form of each part */
    void (*obey)(struct unit_run *run);
    int detail;
    bool takes_number; /* 0 to 255 */
} commands[] = {
    {"*IDN?", identify, 0, false},
    {"*RST", reset, 0, false},
    {"*CLS", clear, 0, false},
    {"*OPC", complete, 0, false},
    {"*OPC?", answer_one, 0, false},
    {"*WAI", reset, 0, false},
    {"*TST?", answer_zero, 0, false},
    {"*ESE", enable_event, 0, true},
    {"*ESE?", ask_event_enable, 0, false},
    {"*ESR?", ask_event, 0, false},
    {"*SRE", enable_service, 0, true},
    {"*SRE?", ask_service_enable, 0, false},
    {"*STB?", ask_status, 0, false},
    {"SYSTem:ERRor?", next_error, 0, false},
    {"SYSTem:ERRor:NEXT?", next_error, 0, false},
    {"SYSTem:ERRor:COUNt?", count_errors, 0, false},
    {"SYSTem:VERSion?", version, 0, false},
    {"MEASure:VOLTage?", measure, CHANNEL_VOLTAGE, false},
    {"MEASure:CURRent?", measure, CHANNEL_CURRENT, false},
    {"MEASure:POWer?", measure, CHANNEL_POWER, false},
    {"MEASure:TEMPerature?", measure, CHANNEL_TEMPERATURE, false},
    {"MEASure:AMBient?", measure, CHANNEL_AMBIENT, false},
    {"MEASure:CHARge?", measure, CHANNEL_CHARGE_TALLY, false},
    {"MEASure:ENERgy?", measure, CHANNEL_ENERGY_TALLY, false},
    {"FETCh?", fetch, 0, false},
};
enum { COMMANDS = sizeof commands / sizeof *commands };

/* Whether `header` is that command, each part in its short or its long form, in any case. */
static bool is_header(struct span header, const char *command)
{
    size_t at = 0;
    for (const char *part = command; *part != '\0';) {
        size_t whole = strcspn(part, ":?"), brief = 0, n = 0;
        while (brief < whole && !islower((unsigned char)part[brief]))
            brief++;
        while (at + n < header.n && header.p[at + n] != ':' && header.p[at + n] != '?')
            n++;
        if ((n != whole && n != brief) || strncasecmp(header.p + at, part, n) != 0)
            return false;
        at += n;
        part += whole;
        if (*part != '\0' && (at >= header.n || header.p[at++] != *part++))
            return false;
    }
    return at == header.n;
}

/* A command's parameter; 0, or the number of the error. */
static int read_parameter(struct span text, bool wanted, int *ret_number)
{
    double number;
    if (!wanted)
        return text.n == 0 ? 0 : -108;
    if (text.n == 0)
        return -109;
    if (!number_is(text, '.', &number))
        return -104;
    if (!(number >= 0 && number <= 255))
        return -222;
    *ret_number = (int)lround(number);
    return 0;
}

/* Obeys one command; 0, or the number of the error that ends its message. */
static int obey_one(struct scpi_device *device, struct span header, struct span parameter,
                    const struct serve_row *row, struct text *answer)
{
    for (size_t k = 0; k < header.n; k++)
        if ((unsigned char)header.p[k] < 0x20 || (unsigned char)header.p[k] >= 0x7F)
            return -101;
    for (size_t k = 0; k < COMMANDS; k++) {
        if (!is_header(header, commands[k].header))
            continue;
        struct unit_run run = {.device = device, .row = row, .detail = commands[k].detail, .answer = answer};
        int error = read_parameter(parameter, commands[k].takes_number, &run.number);
        size_t before = answer->length;
        bool more = before > 0 && header.p[header.n - 1] == '?';
        if (error != 0)
            return error;
        if (more)
            text_add(answer, ";");
        commands[k].obey(&run);
        if (more && answer->length == before + 1) { /* a query that failed */
            answer->length = before;
            answer->s[before] = '\0';
        }
        return 0;
    }
    return -113;
}

/* The part of the tree that the next command of the message begins in: `MEAS:VOLT?;CURR?`. */
static void keep_branch(struct span header, char *branch, size_t size)
{
    size_t n = header.n;
    while (n > 0 && header.p[n - 1] != ':')
        n--;
    if (header.p[0] != '*')
        span_copy((struct span){header.p, n}, branch, size);
}

void scpi_device_obey(struct scpi_device *device, struct span message, struct text *answer)
{
    struct serve_row row = {0};
    char branch[64] = "";
    struct text said = TEXT_EMPTY;
    int error = 0;
    message = span_trim(message);
    if (message.n == 0 || !device->view->row(device->view->context, &row))
        return;
    while (error == 0 && message.n > 0) {
        size_t n = 0, head = 0;
        while (n < message.n && message.p[n] != ';')
            n++;
        struct span unit = span_trim((struct span){message.p, n});
        n += n < message.n;
        message = (struct span){message.p + n, message.n - n};
        while (head < unit.n && unit.p[head] != ' ' && unit.p[head] != '\t')
            head++;
        struct span parameter = span_trim((struct span){unit.p + head, unit.n - head});
        char header[192];
        bool rooted = head > 0 && (unit.p[0] == ':' || unit.p[0] == '*');
        size_t skip = head > 0 && unit.p[0] == ':';
        int length = snprintf(header, sizeof header, "%s%.*s", rooted ? "" : branch, (int)(head - skip),
                              unit.p + skip);
        struct span whole = {header, (size_t)length};
        error = head == skip || head > 100 ? -102 : obey_one(device, whole, parameter, &row, &said);
        if (error == 0)
            keep_branch(whole, branch, sizeof branch);
    }
    if (error != 0)
        scpi_device_fault(device, error);
    if (said.length > 0)
        text_addf(answer, "%s\n", text_string(&said));
    text_free(&said);
}
