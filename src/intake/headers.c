#include "intake/headers.h"

#include "intake/header_words.h"

#include <ctype.h>

/* How the unit was set apart: a lone letter after a blank may as well be a name (`Phase A`). */
enum apart { APART_NOT, APART_LOOSE, APART_CLEAR };

static const struct {
    unsigned sense;
    enum quantity quantity;
    enum channel channel;
} channel_senses[] = {
    /* the first that is among a header's senses names its quantity */
    {SENSE_CURRENT, QUANTITY_CURRENT, CHANNEL_CURRENT},
    {SENSE_VOLTAGE, QUANTITY_VOLTAGE, CHANNEL_VOLTAGE},
    {SENSE_POWER, QUANTITY_POWER, CHANNEL_POWER},
    {SENSE_TEMPERATURE, QUANTITY_TEMPERATURE, CHANNEL_TEMPERATURE},
    {SENSE_ENERGY, QUANTITY_ENERGY, CHANNEL_ENERGY_TALLY},
    {SENSE_CAPACITY, QUANTITY_CHARGE, CHANNEL_CHARGE_TALLY},
};
enum { CHANNEL_SENSES = sizeof channel_senses / sizeof *channel_senses };

static bool is_one_of(char c, const char *set)
{
    return c != '\0' && strchr(set, c) != NULL;
}

static struct span without_brackets(struct span text)
{
    text = span_trim(text);
    if (text.n >= 2) {
        char open = text.p[0], close = text.p[text.n - 1];
        if ((open == '(' && close == ')') || (open == '[' && close == ']') || (open == '<' && close == '>') ||
            (open == '{' && close == '}'))
            return span_trim((struct span){text.p + 1, text.n - 2});
    }
    return text;
}

/* `t`, `m` and `in` over a column are names, not tonnes, metres and inches. */
bool header_is_unit(const char *text, struct unit *ret_unit)
{
    struct unit unit;
    if (!unit_find(without_brackets(span_of(text)), &unit) || unit.quantity == QUANTITY_MASS ||
        unit.quantity == QUANTITY_LENGTH || unit.quantity == QUANTITY_COUNT_OF)
        return false;
    *ret_unit = unit;
    return true;
}

/* `Voltage (V)`, `Current [A, charge +]`: the bracket may say more after its unit. */
static bool unit_in_brackets(struct span text, struct span *name, struct span *ret_unit)
{
    char close = text.n > 0 ? text.p[text.n - 1] : '\0';
    char open = close == ')' ? '(' : close == ']' ? '[' : close == '>' ? '<' : close == '}' ? '{' : '\0';
    if (open == '\0')
        return false;
    size_t k = text.n - 1;
    while (k > 0 && text.p[k] != open)
        k--;
    if (text.p[k] != open)
        return false;
    struct unit unit;
    struct span inside = span_trim((struct span){text.p + k + 1, text.n - k - 2}), first = inside;
    for (size_t n = 0; n < inside.n && first.n == inside.n; n++)
        if (is_one_of(inside.p[n], ",; "))
            first.n = n;
    if (!unit_find(inside, &unit) && !unit_find(inside = first, &unit))
        return false;
    *name = span_trim((struct span){text.p, k});
    *ret_unit = inside;
    return true;
}

/* `U/V`, `Current, A`, `Strom in A`, `temp_degC`, `Pack V`: the longest tail that is a unit. */
static enum apart unit_behind_sign(struct span text, struct span *name, struct span *ret_unit)
{
    for (size_t k = 0; k < text.n; k++) {
        struct unit unit;
        struct span tail = span_trim((struct span){text.p + k + 1, text.n - k - 1});
        if (!is_one_of(text.p[k], "/,:_ -.#") || !unit_find(tail, &unit))
            continue;
        struct span head = span_trim((struct span){text.p, k});
        bool in = head.n > 3 && span_is_word((struct span){head.p + head.n - 3, 3}, " in");
        *name = in ? span_trim((struct span){head.p, head.n - 3}) : head;
        *ret_unit = tail;
        return is_one_of(text.p[k], "/,:") || in || tail.n > 1 ? APART_CLEAR : APART_LOOSE;
    }
    return APART_NOT;
}

/* `VoltageV`, `tempC`, `currentmA`: a hump; the letter before it may be the unit's prefix. */
static enum apart unit_behind_hump(struct span text, struct span *name, struct span *ret_unit)
{
    for (size_t k = text.n; k-- > 1 && text.n - k <= 3;) {
        struct unit unit;
        if (!islower((unsigned char)text.p[k - 1]) || !isupper((unsigned char)text.p[k]))
            continue;
        if (!unit_find((struct span){text.p + k, text.n - k}, &unit))
            continue;
        bool prefix = is_one_of(text.p[k - 1], "mku") && header_senses((struct span){text.p, k}, NULL) == 0 &&
                      header_senses((struct span){text.p, k - 1}, NULL) != 0;
        k -= prefix;
        *name = (struct span){text.p, k};
        *ret_unit = (struct span){text.p + k, text.n - k};
        return APART_LOOSE;
    }
    return APART_NOT;
}

static enum apart unit_at_end(struct span text, struct span *name, struct span *ret_unit)
{
    enum apart apart = unit_behind_sign(text, name, ret_unit);
    return apart != APART_NOT ? apart : unit_behind_hump(text, name, ret_unit);
}

/* `Charge (C)` is in coulombs; `Capacity (Wh)` is energy. */
static void mend_capacity(struct header *header, unsigned senses)
{
    if (header->unit.quantity == QUANTITY_TEMPERATURE && span_is(span_of(header->unit_text), "C"))
        header->unit = (struct unit){QUANTITY_CHARGE, 1.0 / 3600, 0};
    if (header->unit.quantity == QUANTITY_ENERGY && !(senses & SENSE_NEVER))
        header->channel = CHANNEL_ENERGY_TALLY;
}

static enum header_rank rank_of(unsigned senses, const struct header *header)
{
    bool volts = header->role == COLUMN_CHANNEL && header->channel == CHANNEL_VOLTAGE;
    bool tally = header->role == COLUMN_CHANNEL &&
                 (header->channel == CHANNEL_CHARGE_TALLY || header->channel == CHANNEL_ENERGY_TALLY);
    if (senses & SENSE_NEVER || (volts && senses & SENSE_CELL && senses & SENSE_NUMBER))
        return RANK_NEVER;
    if (tally) /* of two tallies the one of the discharge is wanted */
        return header->discharge_only ? RANK_SAMPLE : header->charge_only ? RANK_UNIT : RANK_PLAIN;
    bool sample = senses & SENSE_SAMPLE || (!volts && senses & SENSE_CELL);
    return sample ? RANK_SAMPLE : RANK_PLAIN;
}

static bool read_other_roles(unsigned senses, int words, struct header *header)
{
    bool quantity = senses & (SENSE_CURRENT | SENSE_VOLTAGE | SENSE_POWER | SENSE_TEMPERATURE | SENSE_ENERGY);
    if (senses & SENSE_MODE && !header->has_unit)
        header->role = COLUMN_MODE;
    else if (senses & SENSE_NOTE && !header->has_unit)
        header->role = COLUMN_MARK;
    else if (senses & SENSE_TIME && (!header->has_unit || header->unit.quantity == QUANTITY_TIME))
        header->role = senses & SENSE_STEP ? COLUMN_STEP_TIME : COLUMN_TIME;
    else if (senses & SENSE_DATE && !header->has_unit && !quantity)
        header->role = COLUMN_DATE;
    else if (senses & SENSE_STEP && !header->has_unit && !quantity && words <= 3)
        header->role = COLUMN_STEP;
    else
        return false;
    header->wall_clock = senses & (SENSE_DATE | SENSE_WALL_CLOCK | SENSE_UTC);
    header->utc = senses & SENSE_UTC;
    header->rank = senses & SENSE_NEVER ? RANK_NEVER : RANK_PLAIN;
    return true;
}

static bool read_channel(unsigned senses, struct header *header)
{
    if (senses & SENSE_CHARGE &&
        !(senses & (SENSE_CURRENT | SENSE_VOLTAGE | SENSE_POWER | SENSE_TEMPERATURE | SENSE_ENERGY)))
        header->charge_only = senses & SENSE_CAPACITY, senses |= SENSE_CAPACITY;
    for (int k = 0; k < CHANNEL_SENSES; k++) {
        if (!(senses & channel_senses[k].sense))
            continue;
        header->role = COLUMN_CHANNEL;
        header->channel = channel_senses[k].channel;
        if (header->channel == CHANNEL_TEMPERATURE && senses & SENSE_AMBIENT)
            header->channel = CHANNEL_AMBIENT;
        if (header->channel == CHANNEL_CHARGE_TALLY)
            mend_capacity(header, senses);
        header->discharge_only = senses & SENSE_DISCHARGE && !(senses & SENSE_CHARGE);
        header->charge_only |=
            senses & SENSE_CHARGE && !(senses & SENSE_DISCHARGE) && header->channel != CHANNEL_CHARGE_TALLY;
        header->rank = rank_of(senses, header);
        return true;
    }
    return false;
}

static bool read_by_unit(unsigned senses, struct header *header)
{
    static const struct {
        enum quantity quantity;
        enum channel channel;
    } by_unit[] = {
        {QUANTITY_VOLTAGE, CHANNEL_VOLTAGE},     {QUANTITY_CURRENT, CHANNEL_CURRENT},
        {QUANTITY_POWER, CHANNEL_POWER},         {QUANTITY_TEMPERATURE, CHANNEL_TEMPERATURE},
        {QUANTITY_CHARGE, CHANNEL_CHARGE_TALLY}, {QUANTITY_ENERGY, CHANNEL_ENERGY_TALLY},
    };
    header->rank = senses & SENSE_NEVER ? RANK_NEVER : senses & SENSE_SAMPLE ? RANK_SAMPLE : RANK_UNIT;
    if (header->unit.quantity == QUANTITY_TIME) {
        header->role = COLUMN_TIME;
        return true;
    }
    for (size_t k = 0; k < sizeof by_unit / sizeof *by_unit; k++) {
        if (by_unit[k].quantity != header->unit.quantity)
            continue;
        header->role = COLUMN_CHANNEL;
        header->channel = by_unit[k].channel;
        if (header->channel == CHANNEL_VOLTAGE && senses & SENSE_CELL && senses & SENSE_NUMBER)
            header->rank = RANK_NEVER;
        if (header->channel == CHANNEL_TEMPERATURE && senses & SENSE_AMBIENT)
            header->channel = CHANNEL_AMBIENT;
        return true;
    }
    return false;
}

static void set_unit(struct header *header, struct span symbol)
{
    static const double megasecond = 1e6;
    header->has_unit = unit_find(symbol, &header->unit);
    if (header->unit.quantity == QUANTITY_TIME && header->unit.factor == megasecond)
        header->unit.factor = 1e-3; /* `timeMs`, `TIME (MS)`: no log counts megaseconds */
    span_copy(symbol, header->unit_text, sizeof header->unit_text);
}

static void explain(struct header *header, const char *by)
{
    const char *role = role_name(header->role, header->channel);
    if (header->unit_text[0] != '\0')
        snprintf(header->why, sizeof header->why, "%s %s, unit %s", by, role, header->unit_text);
    else
        snprintf(header->why, sizeof header->why, "%s %s", by, role);
}

/* Words that name a channel and a unit of another quantity: neither is believed. */
static bool contradicts(const struct header *header)
{
    return header->role == COLUMN_CHANNEL && header->has_unit &&
           channel_quantity(header->channel) != header->unit.quantity;
}

static struct header unused(const char *why)
{
    struct header header = {.role = COLUMN_UNUSED, .unit = {QUANTITY_NONE, 1, 0}};
    snprintf(header.why, sizeof header.why, "%s", why);
    return header;
}

/* `AMP-HOURS`, `Watt hours`: a unit in two words. */
static bool read_hours(struct span text, struct header *header)
{
    bool hours = span_has_word(text, "hour") || span_has_word(text, "hrs");
    bool watts = span_has_word(text, "watt"), amps = span_has_word(text, "amp");
    if (!hours || watts == amps)
        return false;
    double factor = span_has_word(text, "kilo") ? 1e3 : span_has_word(text, "milli") ? 1e-3 : 1;
    header->has_unit = true;
    header->unit = (struct unit){watts ? QUANTITY_ENERGY : QUANTITY_CHARGE, factor, 0};
    snprintf(header->unit_text, sizeof header->unit_text, "%s", watts ? "watt-hours" : "amp-hours");
    unsigned other = SENSE_TIME | SENSE_CURRENT | SENSE_POWER | SENSE_CAPACITY | SENSE_ENERGY;
    return read_channel((header_senses(text, NULL) & ~other) | SENSE_CAPACITY, header);
}

struct header header_read(const char *text, const char *unit_below)
{
    struct header header = {.role = COLUMN_UNUSED, .unit = {QUANTITY_NONE, 1, 0}};
    struct span name = span_trim(span_of(text)), symbol = {NULL, 0}, whole = name;
    enum apart apart = APART_CLEAR;
    if (read_hours(name, &header)) {
        explain(&header, "header says");
        return header;
    }
    if (header_is_unit(text, &header.unit))
        symbol = without_brackets(name), name.n = 0;
    else if (!unit_in_brackets(name, &name, &symbol))
        apart = unit_at_end(name, &name, &symbol);
    int words;
    unsigned senses = header_senses(name, &words);
    if (apart != APART_NOT)
        set_unit(&header, symbol);
    if (unit_below[0] != '\0' && header_is_unit(unit_below, &header.unit))
        set_unit(&header, without_brackets(span_of(unit_below)));
    bool known = read_other_roles(senses, words, &header) || read_channel(senses, &header);
    if (known && contradicts(&header) && apart == APART_LOOSE && unit_below[0] == '\0') {
        name = whole; /* `Voltage A`: a name after all */
        header = (struct header){.unit = {QUANTITY_NONE, 1, 0}};
        senses = header_senses(name, &words);
        known = read_other_roles(senses, words, &header) || read_channel(senses, &header);
    }
    if (known && contradicts(&header))
        return unused("not used: the header's words and its unit disagree");
    if (!known && apart == APART_LOOSE && !(senses & (SENSE_SAMPLE | SENSE_CELL)))
        return unused("not used: no word of the header is known");
    if (!known && !(header.has_unit && read_by_unit(senses, &header)))
        return unused("not used: no word of the header is known");
    explain(&header, known ? "header says" : "unit says");
    return header;
}

const char *role_name(enum column_role role, enum channel channel)
{
    static const char *const names[] = {
        [COLUMN_UNUSED] = "unused", [COLUMN_TIME] = "time",           [COLUMN_DATE] = "date",
        [COLUMN_STEP] = "step",     [COLUMN_STEP_TIME] = "step time", [COLUMN_MODE] = "mode",
        [COLUMN_MARK] = "mark",
    };
    return role == COLUMN_CHANNEL ? channel_name(channel) : names[role];
}

const char *role_option(enum column_role role, enum channel channel)
{
    if (role == COLUMN_STEP_TIME)
        return "steptime";
    if (role != COLUMN_CHANNEL)
        return role_name(role, channel);
    switch (channel) {
    case CHANNEL_AMBIENT: return "ambient";
    case CHANNEL_CHARGE_TALLY: return "charge";
    case CHANNEL_ENERGY_TALLY: return "energy";
    default: return channel_name(channel);
    }
}
