#include "quantity/unit.h"

#include "base/number.h"
#include "base/wide.h"

#include <ctype.h>

static const char *const symbols[QUANTITIES] = {
    "", "s", "V", "A", "W", "Ah", "Wh", "°C", "kg", "m", "Ω", "", "It", "",
};

static const char *const names[QUANTITIES] = {
    "no unit", "time", "voltage", "current", "power", "charge", "energy", "temperature", "mass",
    "length", "resistance", "ratio", "rate", "count",
};

const char *quantity_symbol(enum quantity quantity)
{
    return symbols[quantity];
}

const char *quantity_shown(enum quantity quantity, double *ret_factor)
{
    *ret_factor = quantity == QUANTITY_LENGTH || quantity == QUANTITY_RESISTANCE ? 1000
                  : quantity == QUANTITY_RATIO                                   ? 100
                                                                                 : 1;
    return quantity == QUANTITY_LENGTH ? "mm" : quantity == QUANTITY_RESISTANCE ? "mΩ"
           : quantity == QUANTITY_RATIO ? "%" : symbols[quantity];
}

const char *quantity_name(enum quantity quantity)
{
    return names[quantity];
}

/* Base symbols that take an SI prefix; case counts only for the prefix. */
static const struct {
    const char *symbol;
    enum quantity quantity;
    double factor;
} prefixed[] = {
    {"V", QUANTITY_VOLTAGE, 1},        {"volt", QUANTITY_VOLTAGE, 1},  {"volts", QUANTITY_VOLTAGE, 1},
    {"A", QUANTITY_CURRENT, 1},        {"amp", QUANTITY_CURRENT, 1},   {"amps", QUANTITY_CURRENT, 1},
    {"ampere", QUANTITY_CURRENT, 1},   {"amperes", QUANTITY_CURRENT, 1},
    {"W", QUANTITY_POWER, 1},          {"watt", QUANTITY_POWER, 1},    {"watts", QUANTITY_POWER, 1},
    {"Ah", QUANTITY_CHARGE, 1},        {"A.h", QUANTITY_CHARGE, 1},    {"A·h", QUANTITY_CHARGE, 1},
    {"A h", QUANTITY_CHARGE, 1},       {"amp hour", QUANTITY_CHARGE, 1}, {"amp hours", QUANTITY_CHARGE, 1},
    {"watt hour", QUANTITY_ENERGY, 1}, {"watt hours", QUANTITY_ENERGY, 1},
    {"As", QUANTITY_CHARGE, 1.0 / 3600},
    {"Wh", QUANTITY_ENERGY, 1},        {"W.h", QUANTITY_ENERGY, 1},    {"W·h", QUANTITY_ENERGY, 1},
    {"W h", QUANTITY_ENERGY, 1},       {"J", QUANTITY_ENERGY, 1.0 / 3600},
    {"Ohm", QUANTITY_RESISTANCE, 1},   {"ohms", QUANTITY_RESISTANCE, 1},
    {"Ω", QUANTITY_RESISTANCE, 1}, /* U+03A9 */
    {"Ω", QUANTITY_RESISTANCE, 1}, /* U+2126 */
    {"g", QUANTITY_MASS, 0.001},       {"m", QUANTITY_LENGTH, 1},
    {"s", QUANTITY_TIME, 1},           {"sec", QUANTITY_TIME, 1},
};

/* Symbols that stand alone. */
static const struct {
    const char *symbol;
    struct unit unit;
} alone[] = {
    {"second", {QUANTITY_TIME, 1, 0}},       {"seconds", {QUANTITY_TIME, 1, 0}},
    {"secs", {QUANTITY_TIME, 1, 0}},         {"min", {QUANTITY_TIME, 60, 0}},
    {"mins", {QUANTITY_TIME, 60, 0}},        {"minute", {QUANTITY_TIME, 60, 0}},
    {"minutes", {QUANTITY_TIME, 60, 0}},     {"h", {QUANTITY_TIME, 3600, 0}},
    {"hr", {QUANTITY_TIME, 3600, 0}},        {"hrs", {QUANTITY_TIME, 3600, 0}},
    {"hour", {QUANTITY_TIME, 3600, 0}},      {"hours", {QUANTITY_TIME, 3600, 0}},
    {"d", {QUANTITY_TIME, 86400, 0}},        {"day", {QUANTITY_TIME, 86400, 0}},
    {"days", {QUANTITY_TIME, 86400, 0}},     {"msec", {QUANTITY_TIME, 0.001, 0}},
    {"millis", {QUANTITY_TIME, 0.001, 0}},   {"milliseconds", {QUANTITY_TIME, 0.001, 0}},
    {"degC", {QUANTITY_TEMPERATURE, 1, 0}},  {"deg C", {QUANTITY_TEMPERATURE, 1, 0}},
    {"°C", {QUANTITY_TEMPERATURE, 1, 0}},    {"℃", {QUANTITY_TEMPERATURE, 1, 0}},
    {"ºC", {QUANTITY_TEMPERATURE, 1, 0}},    {"celsius", {QUANTITY_TEMPERATURE, 1, 0}},
    {"degree", {QUANTITY_TEMPERATURE, 1, 0}},
    {"C", {QUANTITY_TEMPERATURE, 1, 0}},     {"Cel", {QUANTITY_TEMPERATURE, 1, 0}},
    {"c", {QUANTITY_TEMPERATURE, 1, 0}},
    {"degF", {QUANTITY_TEMPERATURE, 5.0 / 9, -32}}, {"deg F", {QUANTITY_TEMPERATURE, 5.0 / 9, -32}},
    {"°F", {QUANTITY_TEMPERATURE, 5.0 / 9, -32}},   {"F", {QUANTITY_TEMPERATURE, 5.0 / 9, -32}},
    {"℉", {QUANTITY_TEMPERATURE, 5.0 / 9, -32}},    {"fahrenheit", {QUANTITY_TEMPERATURE, 5.0 / 9, -32}},
    {"K", {QUANTITY_TEMPERATURE, 1, -273.15}},      {"kelvin", {QUANTITY_TEMPERATURE, 1, -273.15}},
    {"lb", {QUANTITY_MASS, 0.45359237, 0}},  {"lbs", {QUANTITY_MASS, 0.45359237, 0}},
    {"t", {QUANTITY_MASS, 1000, 0}},         {"oz", {QUANTITY_MASS, 0.028349523125, 0}},
    {"in", {QUANTITY_LENGTH, 0.0254, 0}},    {"inch", {QUANTITY_LENGTH, 0.0254, 0}},
    {"ft", {QUANTITY_LENGTH, 0.3048, 0}},    {"cm", {QUANTITY_LENGTH, 0.01, 0}},
    {"%", {QUANTITY_RATIO, 0.01, 0}},        {"percent", {QUANTITY_RATIO, 0.01, 0}},
    {"ppm", {QUANTITY_RATIO, 1e-6, 0}},      {"It", {QUANTITY_RATE, 1, 0}},
    {"I_t", {QUANTITY_RATE, 1, 0}},          {"cycles", {QUANTITY_COUNT_OF, 1, 0}},
    {"cycle", {QUANTITY_COUNT_OF, 1, 0}},    {"cells", {QUANTITY_COUNT_OF, 1, 0}},
    {"digits", {QUANTITY_COUNT_OF, 1, 0}},   {"digit", {QUANTITY_COUNT_OF, 1, 0}},
    {"frames", {QUANTITY_COUNT_OF, 1, 0}},   {"frame", {QUANTITY_COUNT_OF, 1, 0}},
};

static const struct {
    const char *prefix;
    double factor;
} prefixes[] = {
    {"", 1}, {"m", 1e-3}, {"k", 1e3}, {"K", 1e3}, {"M", 1e6}, {"u", 1e-6}, {"n", 1e-9},
    {"µ", 1e-6}, /* U+00B5 */
    {"μ", 1e-6}, /* U+03BC */
    {"milli", 1e-3}, {"kilo", 1e3},
};

static bool find_alone(struct span symbol, struct unit *ret_unit)
{
    for (size_t k = 0; k < sizeof alone / sizeof *alone; k++) {
        /* one letter means what it says; longer words are written in any case */
        bool same = strlen(alone[k].symbol) == 1 ? span_is(symbol, alone[k].symbol)
                                                 : span_is_word(symbol, alone[k].symbol);
        if (same) {
            *ret_unit = alone[k].unit;
            return true;
        }
    }
    return false;
}

static bool find_prefixed(struct span symbol, bool fold, struct unit *ret_unit)
{
    for (size_t p = 0; p < sizeof prefixes / sizeof *prefixes; p++) {
        size_t n = strlen(prefixes[p].prefix);
        if (symbol.n <= n || memcmp(symbol.p, prefixes[p].prefix, n) != 0)
            continue;
        struct span rest = {symbol.p + n, symbol.n - n};
        for (size_t k = 0; k < sizeof prefixed / sizeof *prefixed; k++) {
            bool same = fold ? span_is_word(rest, prefixed[k].symbol) : span_is(rest, prefixed[k].symbol);
            if (same) {
                *ret_unit = (struct unit){prefixed[k].quantity, prefixes[p].factor * prefixed[k].factor, 0};
                return true;
            }
        }
    }
    return false;
}

bool unit_find(struct span symbol, struct unit *ret_unit)
{
    symbol = span_trim(symbol);
    if (symbol.n == 0)
        return false;
    return find_prefixed(symbol, false, ret_unit) || find_alone(symbol, ret_unit) ||
           find_prefixed(symbol, true, ret_unit);
}

double unit_own(double number, const struct unit *unit)
{
    return (number + unit->shift) * unit->factor;
}

WIDE void unit_own_all(double *numbers, size_t count, const struct unit *unit)
{
    double shift = unit->shift, factor = unit->factor;
    if (shift == 0 && factor == 1)
        return;
    for (size_t k = 0; k < count; k++)
        numbers[k] = (numbers[k] + shift) * factor;
}

/* A unit's characters: letters, _, and the signs that units hold. Other signs outside ASCII (±, –, a
 * no-break space) end it. */
static size_t unit_length(struct span span)
{
    static const char *const signs[] = {"°", "º", "µ", "μ", "Ω", "Ω", "℃", "℉", "·"};
    size_t n = 0;
    while (n < span.n) {
        if (isalpha((unsigned char)span.p[n]) || span.p[n] == '_') {
            n++;
            continue;
        }
        size_t sign = 0;
        for (size_t k = 0; k < sizeof signs / sizeof *signs && sign == 0; k++) {
            size_t length = strlen(signs[k]);
            if (span.n - n >= length && memcmp(span.p + n, signs[k], length) == 0)
                sign = length;
        }
        if (sign == 0)
            break;
        n += sign;
    }
    return n;
}

/* `A h`, `amp-hours`, `deg C`: two words that are one unit. */
static size_t read_two_words(struct span span, size_t first, struct unit *ret_unit)
{
    char both[32];
    size_t joint = first;
    while (joint < span.n && strchr(" \t-", span.p[joint]) != NULL && span.p[joint] != '\0')
        joint++;
    size_t second = unit_length((struct span){span.p + joint, span.n - joint});
    if (joint == first || second == 0 || first + second + 2 > sizeof both)
        return 0;
    memcpy(both, span.p, first);
    both[first] = ' ';
    memcpy(both + first + 1, span.p + joint, second);
    return unit_find((struct span){both, first + 1 + second}, ret_unit) ? joint + second : 0;
}

size_t unit_read(struct span span, struct unit *ret_unit)
{
    size_t n = span.n > 0 && span.p[0] == '%' ? 1 : unit_length(span);
    if (n == 0)
        return 0;
    size_t both = read_two_words(span, n, ret_unit);
    if (both > 0)
        return both;
    return unit_find((struct span){span.p, n}, ret_unit) ? n : 0;
}

size_t quantity_read(struct span span, char decimal, double *ret_value, double *ret_digit,
                     enum quantity *ret_quantity)
{
    double number;
    int decimals;
    size_t used = number_read(span, decimal, &number, &decimals);
    if (used == 0)
        return 0;
    size_t gap = used;
    while (gap < span.n && (span.p[gap] == ' ' || span.p[gap] == '\t'))
        gap++;
    struct unit unit = {QUANTITY_NONE, 1, 0};
    size_t word = unit_read((struct span){span.p + gap, span.n - gap}, &unit);
    if (word > 0)
        used = gap + word;
    *ret_value = unit_own(number, &unit);
    *ret_quantity = unit.quantity;
    if (ret_digit != NULL)
        *ret_digit = pow(10, -decimals) * unit.factor;
    return used;
}
