#include "instrument/field.h"

#include "base/number.h"

static bool is_one_of(struct span text, const char *const *words)
{
    for (; *words != NULL; words++)
        if (span_is_word(text, *words))
            return true;
    return false;
}

/* Words that meters use: common practice, no source. */
static const char *const nothing[] = {"", "-", "--", "---", "----", "nan", "n/a", "null", "none", NULL};
static const char *const too_much[] = {"OL",   "+OL",      "-OL",      "O.L",       "OVLD",
                                       "OVER", "OVERLOAD", "OVERFLOW", "inf",       "+inf",
                                       "-inf", "ninf",     "infinity", "-infinity", NULL};

void field_show(struct span text, char buffer[static FIELD_SHOWN])
{
    size_t n = 0;
    static const char more[] = "…";
    for (size_t k = 0; k < text.n; k++) {
        unsigned char c = (unsigned char)text.p[k];
        bool plain = c >= 0x20 && c < 0x7F;
        if (n + (plain ? 1 : 4) + sizeof more > FIELD_SHOWN) {
            memcpy(buffer + n, more, sizeof more);
            return;
        }
        if (plain)
            buffer[n++] = (char)c;
        else
            n += (size_t)snprintf(buffer + n, FIELD_SHOWN - n, "\\x%02x", c);
    }
    buffer[n] = '\0';
}

/* `h:mm:ss.sss` as seconds; false when it is none. Hours may be absent. */
static bool read_clock(struct span text, char decimal, struct decimal *ret_decimal)
{
    int64_t whole = 0;
    struct decimal seconds;
    for (int parts = 0;; parts++) {
        size_t digits = 0;
        while (digits < text.n && text.p[digits] >= '0' && text.p[digits] <= '9')
            digits++;
        if (digits == 0 || digits > 6)
            return false;
        if (digits < text.n && text.p[digits] == ':' && parts < 2) {
            int64_t part = 0;
            for (size_t k = 0; k < digits; k++)
                part = part * 10 + (text.p[k] - '0');
            if (parts > 0 && part > 59)
                return false;
            whole = whole * 60 + part;
            text = (struct span){text.p + digits + 1, text.n - digits - 1};
            continue;
        }
        if (parts == 0 || decimal_read(text, decimal, &seconds) != text.n || seconds.kind != DECIMAL_NUMBER ||
            seconds.decimals < 0 || seconds.decimals > 6 || !(decimal_value(seconds) < 60))
            return false;
        break;
    }
    whole *= 60;
    for (int k = 0; k < seconds.decimals; k++)
        whole *= 10;
    seconds.mantissa += whole;
    *ret_decimal = seconds;
    return true;
}

static bool same_unit(struct span symbol, const char *stated)
{
    struct unit one, other;
    return span_is(symbol, stated) ||
           (unit_find(symbol, &one) && unit_find(span_of(stated), &other) && one.quantity == other.quantity &&
            one.factor == other.factor && one.shift == other.shift);
}

static bool refuse(struct span text, struct message *message, const char *why)
{
    char shown[FIELD_SHOWN];
    field_show(text, shown);
    status_fail(message, STATUS_MALFORMED, "`%s` %s", shown, why);
    return false;
}

bool field_read(struct span text, const struct link_channel *channel, char decimal,
                struct decimal *ret_decimal, char odd[static FIELD_ODD], struct message *message)
{
    text = span_trim(text);
    if (text.n >= 2 && text.p[0] == '"' && text.p[text.n - 1] == '"')
        text = span_trim((struct span){text.p + 1, text.n - 2});
    struct decimal read = {.kind = DECIMAL_MISSING};
    double value;
    size_t used = number_read(text, decimal, &value, NULL);
    struct span rest = span_trim((struct span){text.p + used, text.n - used});
    if (is_one_of(text, nothing) || is_one_of(text, too_much)) {
        read.kind = is_one_of(text, nothing) ? DECIMAL_MISSING : DECIMAL_OVERLOAD;
    } else if (used > 0 && rest.n > 0 && rest.p[0] == ':' && channel->quantity == QUANTITY_TIME &&
               strcmp(channel->unit_symbol, "s") == 0) {
        if (!read_clock(text, decimal, &read))
            return refuse(text, message, "is no time");
    } else if (used == 0) {
        return refuse(text, message, "is no number");
    } else if (rest.n > 0 && !same_unit(rest, channel->unit_symbol)) {
        char why[64];
        snprintf(why, sizeof why, "is no number in %s", channel->unit_symbol);
        return refuse(text, message, why);
    } else if (fabs(value) >= 9.9e37) {
        read.kind = value == 9.91e37 ? DECIMAL_MISSING : DECIMAL_OVERLOAD;
    } else {
        decimal_read(text, decimal, &read);
    }
    if (read.kind == DECIMAL_ODD && odd[0] == '\0')
        span_copy(text, odd, FIELD_ODD);
    *ret_decimal = read;
    return true;
}
