#include "intake/accuracy_text.h"

#include "intake/amount.h"

/* One term of an accuracy, being read. */
struct term {
    struct span text; /* what is left */
    size_t at;        /* its byte in the whole */
    double number;
    int decimals;
    struct unit unit;
};

static enum status fault(struct message *message, size_t at, const char *what, const char *remedy)
{
    status_fail(message, STATUS_MALFORMED, "%s", what);
    status_remedy(message, "%s", remedy);
    if (message != NULL)
        message->column = (long)at;
    return STATUS_MALFORMED;
}

/* A fault found `at` bytes in, by a reader that counts from its own start. */
static enum status deeper(struct message *message, size_t at, enum status status)
{
    if (message != NULL)
        message->column += (long)at;
    return status;
}

static void skip(struct term *term, size_t n)
{
    term->text = span_from(term->text, n);
    term->at += n;
    size_t blanks = blanks_at(term->text);
    term->text = span_from(term->text, blanks);
    term->at += blanks;
}

static bool skip_word(struct term *term, const char *const *spellings)
{
    size_t n = spelling_at(term->text, spellings);
    if (n > 0)
        skip(term, n);
    return n > 0;
}

static const char *const plus_minus[] = {"±", "+/-", "+-", NULL};
static const char *const of_reading[] = {"of reading", "of the reading", "of rdg", "reading", "rdg.",
                                         "rdg",        "of value",       NULL};
static const char *const of_range[] = {"of full scale", "of range", "of", "full scale",
                                       "range",         "f.s.",     "fs", NULL};
static const char *const range_after[] = {"range", "full scale", "f.s.", "fs", NULL};
static const char *const digits[] = {"digits", "digit", "dgts", "dgt", "counts", "count", "lsd", "d", NULL};

static enum status read_number(struct term *term, struct message *message)
{
    size_t used;
    enum status status = amount_number(term->text, '\0', &term->number, &term->decimals, &used, message);
    if (status != STATUS_OK)
        return deeper(message, term->at, status);
    if (used == 0 || !(term->number >= 0))
        return fault(message, term->at, "a number should stand here",
                     "write an accuracy like `0.5 % + 3 digits`");
    skip(term, used);
    return STATUS_OK;
}

/* `% of 100 A`: the range, in the channel's unit. */
static enum status read_range(struct term *term, enum quantity quantity, double *ret_range,
                              struct message *message)
{
    struct amount range;
    size_t used;
    enum status status = amount_read(term->text, '\0', &range, &used, message);
    if (status != STATUS_OK)
        return deeper(message, term->at, status);
    if (used == 0 || range.form != AMOUNT_PLAIN || range.quantity != quantity || !(range.value > 0))
        return fault(message, term->at, "the range should stand here, in the unit of the channel",
                     "write the range that the percentage is of, like `1 % of 100 A`");
    skip(term, used);
    skip_word(term, range_after);
    *ret_range = range.value;
    return STATUS_OK;
}

static enum status add_ratio(struct term *term, enum quantity quantity, struct accuracy *accuracy,
                             struct message *message)
{
    double share = term->number * term->unit.factor, range;
    if (skip_word(term, of_reading) || spelling_at(term->text, of_range) == 0) {
        accuracy->gain += share;
        return STATUS_OK;
    }
    skip_word(term, of_range);
    enum status status = read_range(term, quantity, &range, message);
    if (status == STATUS_OK)
        accuracy->offset += share * range;
    return status;
}

/* A term in volts for a channel read across a shunt is brought to amps by the shunt's ratio. */
static enum status add_amount(struct term *term, enum quantity quantity, double own_per_volt,
                              struct accuracy *accuracy, size_t start, struct message *message)
{
    double halfwidth = term->number * term->unit.factor; /* a difference: no shift of scale */
    if (term->unit.quantity == quantity)
        accuracy->offset += halfwidth;
    else if (term->unit.quantity == QUANTITY_VOLTAGE && own_per_volt > 0)
        accuracy->offset += halfwidth * own_per_volt;
    else
        return fault(message, start, "this term has the unit of another quantity",
                     "write it in %, in digits, or in the unit of the channel");
    return STATUS_OK;
}

static enum status read_term(struct term *term, enum quantity quantity, double own_per_volt, bool first,
                             struct accuracy *accuracy, struct message *message)
{
    skip_word(term, plus_minus);
    size_t start = term->at;
    enum status status = read_number(term, message);
    if (status != STATUS_OK)
        return status;
    if (skip_word(term, digits)) {
        accuracy->digits += term->number;
        return STATUS_OK;
    }
    size_t n = unit_read(term->text, &term->unit);
    skip(term, n);
    if (n > 0 && term->unit.quantity == QUANTITY_RATIO)
        return add_ratio(term, quantity, accuracy, message);
    if (n > 0)
        return add_amount(term, quantity, own_per_volt, accuracy, start, message);
    if (first || term->decimals > 0) /* makers print `±(0.5 % + 3)`, and mean digits */
        return fault(message, start, "this number has no unit",
                     "write %, digits, or the unit of the channel after it");
    accuracy->digits += term->number;
    return STATUS_OK;
}

enum status accuracy_read(struct span text, enum quantity quantity, double own_per_volt,
                          struct accuracy *accuracy, struct message *message)
{
    static const char *const open[] = {"(", NULL}, *const close[] = {")", NULL};
    static const char *const plus[] = {"±", "+/-", "+-", "+", "and", ",", NULL};
    struct accuracy read = *accuracy;
    struct term term = {.text = text};
    read.gain = read.offset = read.digits = 0;
    skip(&term, 0);
    skip_word(&term, plus_minus);
    bool bracket = skip_word(&term, open);
    for (bool first = true; first || skip_word(&term, plus); first = false) {
        enum status status = read_term(&term, quantity, own_per_volt, first, &read, message);
        if (status != STATUS_OK)
            return status;
        if (bracket && skip_word(&term, close))
            bracket = false;
    }
    if (term.text.n > 0 || bracket)
        return fault(message, term.at,
                     bracket ? "the bracket is not closed" : "this is no part of an accuracy",
                     "write terms joined by +, like `0.5 % + 3 digits` or `1 % of 100 A range`");
    read.stated = true;
    span_copy(span_trim(text), read.as_printed, sizeof read.as_printed);
    *accuracy = read;
    return STATUS_OK;
}

static enum status read_plain(struct term *term, struct amount *ret_amount, struct message *message)
{
    size_t used;
    enum status status = amount_read(term->text, '\0', ret_amount, &used, message);
    if (status != STATUS_OK)
        return deeper(message, term->at, status);
    if (used == 0 || ret_amount->form != AMOUNT_PLAIN || !(ret_amount->value > 0))
        return fault(message, term->at, "a shunt is its class or accuracy and its rating",
                     "write it like `class 0.5, 500 A / 50 mV` or `0.25 %, 500 A / 75 mV`");
    skip(term, used);
    return STATUS_OK;
}

static enum status read_shunt_item(struct term *term, struct shunt *shunt, struct message *message)
{
    static const char *const class_word[] = {"class", "cl.", NULL}, *const per[] = {"/", "at", "=", NULL};
    struct amount amount, drop = {0};
    bool class = skip_word(term, class_word);
    skip_word(term, plus_minus);
    size_t start = term->at;
    enum status status = read_plain(term, &amount, message);
    if (status != STATUS_OK)
        return status;
    if (class ? amount.quantity == QUANTITY_NONE : amount.quantity == QUANTITY_RATIO) {
        shunt->gain = class ? amount.value / 100 : amount.value;
        return STATUS_OK;
    }
    if (!class && amount.quantity == QUANTITY_CURRENT && skip_word(term, per)) {
        status = read_plain(term, &drop, message);
        if (status != STATUS_OK)
            return status;
        shunt->amps = amount.value;
        shunt->volts = drop.value;
    }
    if (drop.quantity != QUANTITY_VOLTAGE)
        return fault(message, start, "this is neither a class, nor a percentage, nor a rating in A / mV",
                     "write it like `class 0.5, 500 A / 50 mV` or `0.25 %, 500 A / 75 mV`");
    return STATUS_OK;
}

enum status shunt_read(struct span text, struct shunt *ret_shunt, struct message *message)
{
    static const char *const comma[] = {",", ";", NULL};
    struct shunt shunt = {NAN, NAN, NAN};
    struct term term = {.text = text};
    skip(&term, 0);
    do {
        enum status status = read_shunt_item(&term, &shunt, message);
        if (status != STATUS_OK)
            return status;
    } while (skip_word(&term, comma) || term.text.n > 0);
    if (isnan(shunt.gain))
        return fault(message, 0, "the shunt's class or accuracy is missing",
                     "write it like `class 0.5, 500 A / 50 mV`");
    *ret_shunt = shunt;
    return STATUS_OK;
}
