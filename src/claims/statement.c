#include "claims/statement.h"

#include "base/number.h"

#include <ctype.h>

/* A reader over the entry's value. */
struct reader {
    const struct ini *ini;
    const struct ini_entry *entry;
    struct span rest;
    struct message *message;
};

static size_t offset_of(const struct reader *reader)
{
    return (size_t)(reader->rest.p - reader->entry->value);
}

static void skip(struct reader *reader)
{
    while (reader->rest.n > 0 && (isspace((unsigned char)reader->rest.p[0]) || reader->rest.p[0] == ','))
        reader->rest.p++, reader->rest.n--;
}

/* Takes a word (or several) that stands alone at the start. */
static bool take(struct reader *reader, const char *word)
{
    size_t n = strlen(word);
    struct span start = {reader->rest.p, n};
    if (reader->rest.n < n || !span_is_word(start, word))
        return false;
    bool letter = isalpha((unsigned char)word[n - 1]) != 0;
    if (letter && reader->rest.n > n && isalpha((unsigned char)reader->rest.p[n]))
        return false;
    reader->rest.p += n, reader->rest.n -= n;
    skip(reader);
    return true;
}

static bool take_any(struct reader *reader, const char *const *words)
{
    for (; *words != NULL; words++)
        if (take(reader, *words))
            return true;
    return false;
}

static int take_sense(struct reader *reader)
{
    static const char *const least[] = {"at least", "min.", "min", "from", "≥", ">=", ">", NULL};
    static const char *const most[] = {"at most", "up to", "max.", "max", "≤", "<=", "<", NULL};
    static const char *const about[] = {"about", "typically", "ca.", "approx.", "~", NULL};
    return take_any(reader, least) ? SENSE_AT_LEAST
           : take_any(reader, most) ? SENSE_AT_MOST
           : take_any(reader, about) ? SENSE_ABOUT : -1;
}

static enum status take_quantity(struct reader *reader, double *ret_value, double *ret_digit,
                                 enum quantity *ret_quantity)
{
    size_t used = quantity_read(reader->rest, '.', ret_value, ret_digit, ret_quantity);
    if (used == 0) {
        char here[25];
        span_copy(reader->rest, here, sizeof here);
        ini_fault(reader->ini, reader->entry, offset_of(reader), reader->message,
                  "expected a number with a unit at '%s'", here);
        return status_remedy(reader->message, "write a number and its unit, as in `100 Ah at 0.2 It, 25 °C, to 10 V | case`");
    }
    reader->rest.p += used, reader->rest.n -= used;
    skip(reader);
    return STATUS_OK;
}

static enum status fault(struct reader *reader, size_t offset, const char *what, const char *remedy)
{
    ini_fault(reader->ini, reader->entry, offset, reader->message, "%s", what);
    return status_remedy(reader->message, "%s", remedy);
}

/* A bare C means a rate to the trade and a temperature to others. `0.2C` is a rate and `25 C` a
 * temperature; `25C` and `0.2 C` can be either. *ret_value stays NaN where there is none. */
static enum status take_bare_c(struct reader *reader, double *ret_value, enum quantity *ret_quantity)
{
    double value;
    size_t used = number_read(reader->rest, '.', &value, NULL), at = used;
    while (at < reader->rest.n && reader->rest.p[at] == ' ')
        at++;
    if (used == 0 || at >= reader->rest.n || tolower((unsigned char)reader->rest.p[at]) != 'c' ||
        (at + 1 < reader->rest.n && isalpha((unsigned char)reader->rest.p[at + 1])))
        return STATUS_OK;
    bool joined = at == used, small = value <= 10;
    if (joined != small)
        return fault(reader, offset_of(reader), "C here is a rate or a temperature",
                     "write `0.2 It` for a rate, `25 °C` for a temperature");
    *ret_value = value;
    *ret_quantity = joined ? QUANTITY_RATE : QUANTITY_TEMPERATURE;
    reader->rest.p += at + 1, reader->rest.n -= at + 1;
    skip(reader);
    return STATUS_OK;
}

/* `C/5`, `It/5` */
static bool take_quotient_rate(struct reader *reader, double *ret_rate_it)
{
    struct reader ahead = *reader;
    double hours;
    if (!take(&ahead, "C") && !take(&ahead, "It"))
        return false;
    if (!take(&ahead, "/"))
        return false;
    size_t used = number_read(ahead.rest, '.', &hours, NULL);
    if (used == 0 || !(hours > 0))
        return false;
    ahead.rest.p += used, ahead.rest.n -= used;
    skip(&ahead);
    *reader = ahead;
    *ret_rate_it = 1 / hours;
    return true;
}

static double *place_of(struct statement *s, enum quantity quantity)
{
    switch (quantity) {
    case QUANTITY_RATE: return &s->rate_it;
    case QUANTITY_CURRENT: return &s->rate_a;
    case QUANTITY_TEMPERATURE: return &s->degc;
    case QUANTITY_VOLTAGE: return &s->cut_off_v;
    case QUANTITY_TIME: return &s->duration_s;
    default: return NULL;
    }
}

static enum status take_condition(struct reader *reader, struct statement *s)
{
    static const char *const joints[] = {"at", "to", "for", "down to", "below", "above", "and", "@", "a", NULL};
    while (take_any(reader, joints))
        ;
    size_t start = offset_of(reader);
    double value = NAN;
    enum quantity quantity = QUANTITY_RATE;
    enum status status = STATUS_OK;
    if (!take_quotient_rate(reader, &value))
        status = take_bare_c(reader, &value, &quantity);
    if (status == STATUS_OK && isnan(value))
        status = take_quantity(reader, &value, NULL, &quantity);
    if (status != STATUS_OK)
        return status;
    double *place = place_of(s, quantity);
    if (place == NULL)
        return fault(reader, start, "a condition is a rate, a current, a temperature, a voltage or a time",
                     "write `at 0.2 It`, `25 °C`, `to 10 V` or `for 5 s`");
    if (!isnan(*place))
        return fault(reader, start, "this condition is stated twice",
                     "make it two claims, or keep the condition that holds");
    *place = value;
    return STATUS_OK;
}

static enum status take_conditions(struct reader *reader, struct statement *s)
{
    if (take(reader, "continuously") || take(reader, "continuous"))
        s->duration_s = INFINITY;
    while (reader->rest.n > 0) {
        enum status status = take_condition(reader, s);
        if (status != STATUS_OK)
            return status;
    }
    return STATUS_OK;
}

/* `0..45 °C`: where the unit stands once, after the second number, it goes for both. */
static enum status take_upper(struct reader *reader, struct statement *s)
{
    if (!take(reader, "..") && !take(reader, "…") && !take(reader, "–"))
        return STATUS_OK;
    double number;
    int decimals;
    enum quantity quantity;
    struct span upper = reader->rest;
    enum status status = take_quantity(reader, &s->high, &s->digit, &quantity);
    if (status != STATUS_OK || s->quantity != QUANTITY_NONE || quantity == QUANTITY_NONE)
        return status;
    size_t used = number_read(upper, '.', &number, &decimals);
    struct span word = {upper.p + used, (size_t)(reader->rest.p - upper.p) - used};
    while (word.n > 0 && strchr(" ,\t", word.p[word.n - 1]) != NULL)
        word.n--;
    struct unit unit;
    if (unit_find(word, &unit)) {
        s->value = unit_own(s->value, &unit);
        s->quantity = quantity;
    }
    return STATUS_OK;
}

/* `4`, `4S`, `4 cells`: no unit is looked for, since `4S` would be four seconds. */
static size_t take_count(struct reader *reader, struct statement *s)
{
    static const char *const words[] = {"S", "in series", "cells", "cycles", NULL};
    size_t used = number_read(reader->rest, '.', &s->value, NULL);
    reader->rest.p += used, reader->rest.n -= used;
    skip(reader);
    if (used > 0)
        take_any(reader, words);
    s->quantity = QUANTITY_COUNT_OF;
    return used;
}

static enum status take_value(struct reader *reader, enum quantity expected, struct statement *s)
{
    s->sense = take_sense(reader);
    if (expected == QUANTITY_COUNT_OF && take_count(reader, s) > 0)
        return STATUS_OK;
    enum status status = take_quantity(reader, &s->value, &s->digit, &s->quantity);
    if (status != STATUS_OK)
        return status;
    status = take_upper(reader, s);
    if (status != STATUS_OK)
        return status;
    if (take(reader, "±") || take(reader, "+-") || take(reader, "+/-")) {
        enum quantity quantity;
        status = take_quantity(reader, &s->plus_minus, NULL, &quantity);
        if (status != STATUS_OK)
            return status;
        if (s->quantity == QUANTITY_NONE)
            s->quantity = quantity;
        if (quantity == QUANTITY_RATIO)
            s->plus_minus *= fabs(s->value);
    }
    if (s->quantity == expected)
        return STATUS_OK;
    ini_fault(reader->ini, reader->entry, 0, reader->message, "expected %s %s, in %s",
              expected == QUANTITY_ENERGY ? "an" : "a", quantity_name(expected),
              expected == QUANTITY_RATIO ? "%" : quantity_symbol(expected));
    return status_remedy(reader->message, "give the number with its unit");
}

static void split_where(struct reader *reader, struct statement *s)
{
    const char *bar = strrchr(reader->entry->value, '|');
    if (bar == NULL)
        return;
    span_copy(span_trim(span_of(bar + 1)), s->where, sizeof s->where);
    reader->rest.n = (size_t)(bar - reader->entry->value);
}

enum status statement_read(const struct ini *ini, const struct ini_entry *entry, enum quantity expected,
                           struct statement *ret_statement, struct message *message)
{
    struct reader reader = {ini, entry, span_of(entry->value), message};
    struct statement s = {.answer = -1, .sense = -1, .value = NAN, .plus_minus = NAN, .high = NAN, .rate_it = NAN,
                          .rate_a = NAN, .degc = NAN, .cut_off_v = NAN, .duration_s = NAN};
    split_where(&reader, &s);
    reader.rest = span_trim(reader.rest);
    span_copy(reader.rest, s.words, sizeof s.words);
    if (take(&reader, "yes"))
        s.answer = 1;
    else if (take(&reader, "no"))
        s.answer = 0;
    enum status status = STATUS_OK;
    if (s.answer < 0 && expected == QUANTITY_NONE) {
        ini_fault(ini, entry, 0, message, "a statement in words is answered by yes or no");
        return status_remedy(message, "write `%s = yes | where it was read`", entry->key);
    }
    if (s.answer < 0)
        status = take_value(&reader, expected, &s);
    if (status == STATUS_OK && s.answer < 0)
        status = take_conditions(&reader, &s);
    if (status == STATUS_OK)
        *ret_statement = s;
    return status;
}
