#include "teardown/opened_values.h"

#include "base/nearest.h"
#include "base/number.h"
#include "intake/amount.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const char *example_of(const struct opened_item *item, const char *key)
{
    for (const struct opened_key *k = opened_keys(item->kind); k->key != NULL; k++)
        if (name_alike(span_of(key), k->key))
            return k->example;
    return "";
}

enum status opened_fault(const struct opened_look *look, const struct opened_entry *entry, size_t offset,
                         const char *what, ...)
{
    char text[400];
    long character = entry->column;
    va_list args;
    va_start(args, what);
    vsnprintf(text, sizeof text, what, args);
    va_end(args);
    for (size_t k = 0; k < offset && entry->value[k] != '\0'; k++)
        character += ((unsigned char)entry->value[k] & 0xC0) != 0x80;
    status_fail(look->message, STATUS_MALFORMED, "%s", text);
    status_at(look->message, look->opened->path, entry->line, character);
    status_remedy(look->message, "write it as in `%s = %s`", entry->key, example_of(look->item, entry->key));
    return STATUS_MALFORMED;
}

static const char *after_comma(const char *words)
{
    while (*words != '\0' && strchr(" \t,;", *words) != NULL)
        words++;
    return words;
}

/* How far an amount may be from the example of its key before it is taken for a slip of its unit: our convention. */
static const double slip_factor = 200;

/* 0.1 MΩ where one meant 0.1 mΩ: a number that would look fine until it is used. */
static enum status hold_unit(const struct opened_look *look, const struct opened_entry *entry, enum quantity quantity,
                             double value)
{
    struct amount usual;
    size_t used = 0;
    if (amount_read(span_of(example_of(look->item, entry->key)), '.', &usual, &used, NULL) != STATUS_OK || used == 0 ||
        usual.quantity != quantity || (value <= slip_factor * usual.value && value >= usual.value / slip_factor))
        return STATUS_OK;
    opened_fault(look, entry, 0, "`%s` is far from what an opened sample has", entry->value);
    return status_remedy(look->message, "look at its unit, as in `%s = %s`; what is truly so goes into `[other]` as `measured`",
                         entry->key, example_of(look->item, entry->key));
}

enum status opened_amount_at(const struct opened_look *look, const struct opened_entry *entry, size_t offset,
                             enum quantity quantity, struct opened_amount *ret_amount)
{
    struct amount amount;
    size_t used;
    struct message fault;
    struct span value = span_of(entry->value + offset);
    if (amount_read(value, '\0', &amount, &used, &fault) != STATUS_OK)
        return opened_fault(look, entry, offset + (size_t)fault.column, "%s", fault.what);
    if (used == 0 || amount.quantity != quantity)
        return opened_fault(look, entry, offset, "`%s` should begin with one %s", entry->value + offset,
                            quantity == QUANTITY_NONE ? "number" : quantity_name(quantity));
    if (!isfinite(amount.lo) || !isfinite(amount.hi))
        return opened_fault(look, entry, offset, "`%s` has no other end", entry->value + offset);
    double half = fmax(0.5 * (amount.hi - amount.lo), 0.5 * amount.digit);
    *ret_amount = (struct opened_amount){0.5 * (amount.lo + amount.hi), amount.form == AMOUNT_ABOUT ? 5 * half : half,
                                         after_comma(entry->value + offset + used)};
    return STATUS_OK;
}

enum status opened_amount(const struct opened_look *look, const char *key, enum quantity quantity,
                          struct opened_amount *ret_amount)
{
    const struct opened_entry *entry = opened_entry(look->item, key);
    *ret_amount = (struct opened_amount){NAN, NAN, ""};
    if (entry == NULL)
        return STATUS_OK;
    enum status status = opened_amount_at(look, entry, 0, quantity, ret_amount);
    if (status == STATUS_OK && quantity != QUANTITY_TEMPERATURE && !(ret_amount->value > 0))
        status = opened_fault(look, entry, 0, "`%s` is not above 0", entry->value);
    if (status == STATUS_OK && quantity != QUANTITY_TEMPERATURE)
        status = hold_unit(look, entry, quantity, ret_amount->value);
    if (status == STATUS_OK && quantity == QUANTITY_TEMPERATURE && !(fabs(ret_amount->value) < 1000))
        status = opened_fault(look, entry, 0, "`%s` is no temperature of an object", entry->value);
    return status;
}

enum status opened_bare_number(const struct opened_look *look, const char *key, const char *unit,
                               struct opened_amount *ret_amount)
{
    const struct opened_entry *entry = opened_entry(look->item, key);
    double number;
    int decimals;
    *ret_amount = (struct opened_amount){NAN, NAN, ""};
    if (entry == NULL)
        return STATUS_OK;
    struct span value = span_of(entry->value);
    size_t used = number_read(value, '.', &number, &decimals);
    struct span rest = span_trim((struct span){value.p + used, value.n - used});
    if (used == 0 || !(number > 0) || !isfinite(number) || (rest.n > 0 && !span_is(rest, unit)))
        return opened_fault(look, entry, 0, "`%s` should be one number, in %s", entry->value, unit);
    *ret_amount = (struct opened_amount){number, 0.5 * pow(10, -decimals), ""};
    return STATUS_OK;
}

enum status opened_count(const struct opened_look *look, const char *key, int *ret_count)
{
    const struct opened_entry *entry = opened_entry(look->item, key);
    double number;
    *ret_count = 0;
    if (entry == NULL)
        return STATUS_OK;
    if (number_read(span_of(entry->value), '.', &number, NULL) == 0 || number != floor(number) || !(number >= 1) ||
        !(number <= 10000))
        return opened_fault(look, entry, 0, "`%s` should begin with a count", entry->value);
    *ret_count = (int)number;
    return STATUS_OK;
}

static bool begins_with(const char *value, const char *word)
{
    size_t n = strlen(word);
    struct span head = {value, strnlen(value, n)};
    return span_is_word(head, word) && (value[n] == '\0' || strchr(" \t,;:.", value[n]) != NULL);
}

bool value_is_none(const char *value)
{
    return begins_with(value, "none") || begins_with(value, "no");
}

bool opened_none(const struct opened_item *item, const char *key)
{
    const struct opened_entry *entry = opened_entry(item, key);
    return entry != NULL && value_is_none(entry->value);
}

bool opened_says(const struct opened_item *item, const char *key, const char *word)
{
    const struct opened_entry *entry = opened_entry(item, key);
    return entry != NULL && begins_with(entry->value, word);
}

/* `4S`, or `2P`, from the start of `rest`. */
static bool take_joined(struct span *rest, char *ret_letter, int *ret_count)
{
    double number;
    size_t used = number_read(*rest, '.', &number, NULL);
    struct span after = span_trim((struct span){rest->p + used, rest->n - used});
    if (used == 0 || after.n == 0 || number != floor(number) || !(number >= 1) || !(number <= 10000) ||
        strchr("SsPp", after.p[0]) == NULL)
        return false;
    *ret_letter = (char)(after.p[0] & ~0x20);
    *ret_count = (int)number;
    *rest = span_trim((struct span){after.p + 1, after.n - 1});
    return true;
}

bool arrangement_read(struct span words, int *ret_series, int *ret_parallel)
{
    struct span rest = span_trim(words);
    int counts[2] = {1, 1};
    char letters[2] = {0, 0};
    if (!take_joined(&rest, &letters[0], &counts[0]))
        return false;
    bool alone = rest.n == 0 || strchr(",;", rest.p[0]) != NULL;
    if (alone ? letters[0] != 'S' : !take_joined(&rest, &letters[1], &counts[1]) || letters[1] == letters[0])
        return false;
    if ((rest.n > 0 && !alone && strchr(",;", rest.p[0]) == NULL && rest.p[-1] != ' ') || counts[0] * counts[1] > 10000)
        return false;
    *ret_series = counts[letters[0] == 'P'];
    *ret_parallel = counts[letters[0] != 'P'];
    return true;
}

enum status opened_yes(const struct opened_look *look, const char *key, int *ret_yes)
{
    const struct opened_entry *entry = opened_entry(look->item, key);
    *ret_yes = entry == NULL                       ? -1
               : begins_with(entry->value, "yes") ? 1
               : begins_with(entry->value, "no") || begins_with(entry->value, "none") ? 0
                                                                                      : -1;
    if (entry != NULL && *ret_yes < 0)
        return opened_fault(look, entry, 0, "`%s` should begin with yes or no", entry->value);
    return STATUS_OK;
}

static enum status read_metal(const struct opened_look *look, const struct opened_entry *entry, size_t offset,
                              enum metal *ret_metal)
{
    struct span word = span_of(entry->value + offset);
    const char *comma = memchr(word.p, ',', word.n);
    word.n = comma != NULL ? (size_t)(comma - word.p) : word.n;
    *ret_metal = metal_named(word);
    if (*ret_metal != METALS)
        return STATUS_OK;
    opened_fault(look, entry, offset, "`%s` is no metal that is known", entry->value + offset);
    return status_remedy(look->message, "use copper, tinned copper, aluminium, CCA, nickel, steel or brass");
}

/* `5,3 mm²`: the one comma that parts no words. */
static bool is_decimal_comma(const char *value, const char *comma)
{
    return comma > value && isdigit((unsigned char)comma[-1]) && isdigit((unsigned char)comma[1]);
}

enum status opened_gauge(const struct opened_look *look, bool *ret_sized, struct gauge *ret_gauge, enum metal *ret_metal)
{
    const struct opened_entry *entry = opened_entry(look->item, "size"), *metal = opened_entry(look->item, "metal");
    *ret_sized = entry != NULL;
    *ret_metal = METALS;
    if (entry != NULL) {
        const char *comma = strchr(entry->value, ',');
        while (comma != NULL && is_decimal_comma(entry->value, comma))
            comma = strchr(comma + 1, ',');
        struct span size = {entry->value, comma != NULL ? (size_t)(comma - entry->value) : strlen(entry->value)};
        struct message fault;
        if (gauge_read(size, ret_gauge, &fault) != STATUS_OK) {
            opened_fault(look, entry, 0, "%s", fault.what);
            return status_remedy(look->message, "%s", fault.remedy);
        }
        if (comma != NULL && metal == NULL) {
            enum status status = read_metal(look, entry, (size_t)(after_comma(comma) - entry->value), ret_metal);
            if (status != STATUS_OK)
                return status;
        }
    }
    return metal != NULL ? read_metal(look, metal, 0, ret_metal) : STATUS_OK;
}

enum status opened_sides(const struct opened_look *look, const char *key, double ret_m[3])
{
    const struct opened_entry *entry = opened_entry(look->item, key);
    ret_m[0] = ret_m[1] = ret_m[2] = NAN;
    if (entry == NULL)
        return STATUS_OK;
    if (!lengths_read(span_of(entry->value), ret_m) || !(ret_m[0] > 0 && ret_m[1] > 0 && ret_m[2] > 0))
        return opened_fault(look, entry, 0, "`%s` should be three lengths and a unit", entry->value);
    return STATUS_OK;
}
