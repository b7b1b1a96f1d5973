#include "intake/log.h"

#include <ctype.h>

static const struct {
    const char *word;
    enum column_role role;
    enum channel channel;
} words[] = {
    {"time", COLUMN_TIME, 0},
    {"date", COLUMN_DATE, 0},
    {"voltage", COLUMN_CHANNEL, CHANNEL_VOLTAGE},
    {"current", COLUMN_CHANNEL, CHANNEL_CURRENT},
    {"power", COLUMN_CHANNEL, CHANNEL_POWER},
    {"temperature", COLUMN_CHANNEL, CHANNEL_TEMPERATURE},
    {"ambient", COLUMN_CHANNEL, CHANNEL_AMBIENT},
    {"charge", COLUMN_CHANNEL, CHANNEL_CHARGE_TALLY},
    {"energy", COLUMN_CHANNEL, CHANNEL_ENERGY_TALLY},
    {"step", COLUMN_STEP, 0},
    {"steptime", COLUMN_STEP_TIME, 0},
    {"mode", COLUMN_MODE, 0},
    {"mark", COLUMN_MARK, 0},
    {"unused", COLUMN_UNUSED, 0},
};

static enum status refuse(const char *option, struct message *message)
{
    status_fail(message, STATUS_USAGE, "--column %s: not a quantity, an equals sign and a column", option);
    return status_remedy(
        message, "write for instance --column current=3 or --column \"current=I [A]\"; quantities are time, "
                 "date, voltage, current, power, temperature, ambient, charge, energy, step, steptime, mode, "
                 "mark, unused");
}

enum status column_wish_read(const char *option, struct column_wish *ret_wish, struct message *message)
{
    const char *equals = strchr(option, '=');
    struct span name = equals != NULL ? span_trim(span_of(equals + 1)) : (struct span){"", 0};
    if (name.n == 0 || name.n >= sizeof ret_wish->name)
        return refuse(option, message);
    struct span word = span_trim((struct span){option, (size_t)(equals - option)});
    for (size_t k = 0; k < sizeof words / sizeof *words; k++) {
        if (!span_is_word(word, words[k].word))
            continue;
        struct column_wish wish = {.role = words[k].role, .channel = words[k].channel};
        size_t digits = 0;
        while (digits < name.n && isdigit((unsigned char)name.p[digits]))
            digits++;
        if (digits > 0 && digits < name.n && name.p[digits] == ':') {
            span_copy((struct span){name.p + digits + 1, name.n - digits - 1}, wish.detail,
                      sizeof wish.detail);
            name.n = digits;
        }
        span_copy(name, wish.name, sizeof wish.name);
        *ret_wish = wish;
        return STATUS_OK;
    }
    return refuse(option, message);
}
