#include "intake/amount.h"

#include "base/number.h"

#include <ctype.h>

enum { DECIMALS_LIMIT = 30 }; /* beyond any meter's, and far from what a double can hold */

struct span span_from(struct span span, size_t offset)
{
    size_t skip = offset < span.n ? offset : span.n;
    return (struct span){span.p + skip, span.n - skip};
}

size_t blanks_at(struct span span)
{
    size_t n = 0;
    while (n < span.n) {
        if (span.p[n] == ' ' || span.p[n] == '\t' || span.p[n] == '\r')
            n++;
        else if (span.n - n >= 2 && memcmp(span.p + n, "\xC2\xA0", 2) == 0)
            n += 2;
        else if (span.n - n >= 3 && memcmp(span.p + n, "\xE2\x80\xAF", 3) == 0) /* narrow no-break space */
            n += 3;
        else
            break;
    }
    return n;
}

static char at(struct span span, size_t k)
{
    return k < span.n ? span.p[k] : '\0';
}

static bool digit_at(struct span span, size_t k)
{
    return isdigit((unsigned char)at(span, k)) != 0;
}

size_t spelling_at(struct span span, const char *const *spellings)
{
    for (; *spellings != NULL; spellings++) {
        size_t n = strlen(*spellings);
        struct span head = {span.p, n};
        if (n > span.n || !span_is_word(head, *spellings))
            continue;
        if (isalpha((unsigned char)(*spellings)[n - 1]) && isalpha((unsigned char)at(span, n)))
            continue;
        return n;
    }
    return 0;
}

static enum status at_byte(struct message *message, size_t byte)
{
    if (message == NULL)
        return STATUS_MALFORMED;
    message->column = (long)byte;
    return message->status;
}

enum status message_place(struct message *message, const char *path, long number, struct span line,
                          size_t base)
{
    if (message == NULL)
        return STATUS_MALFORMED;
    size_t byte = base + (size_t)message->column;
    long character = 1;
    for (size_t k = 0; k < byte && k < line.n; k++)
        character += ((unsigned char)line.p[k] & 0xC0) != 0x80;
    return status_at(message, path, number, character);
}

static const char *const minus[] = {"−", "-", NULL}; /* U+2212, ASCII */

/* The digits before and after a decimal sign, where they are. */
struct shape {
    size_t whole, mark, fraction, end; /* mark: offset of the sign, or equal to end when there is none */
};

static struct shape shape_of(struct span span)
{
    struct shape shape = {0, 0, 0, 0};
    size_t k = 0;
    while (digit_at(span, k))
        k++;
    shape.whole = k;
    shape.mark = k;
    if ((at(span, k) == '.' || at(span, k) == ',') && digit_at(span, k + 1)) {
        k++;
        while (digit_at(span, k))
            k++, shape.fraction++;
    }
    shape.end = k;
    return shape;
}

/* One to three digits, not starting with 0, then a sign and exactly three digits. */
static bool like_thousands(struct span span, const struct shape *shape)
{
    return shape->fraction == 3 && shape->whole >= 1 && shape->whole <= 3 && at(span, 0) != '0';
}

static enum status judge_sign(struct span span, const struct shape *shape, char decimal,
                              struct message *message)
{
    char sign = shape->fraction > 0 ? at(span, shape->mark) : '.';
    int shown = (int)(shape->end < 24 ? shape->end : 24);
    if ((at(span, shape->end) == '.' || at(span, shape->end) == ',') && digit_at(span, shape->end + 1)) {
        status_fail(message, STATUS_MALFORMED, "`%.*s%c…` is not one number", shown, span.p,
                    at(span, shape->end));
        status_remedy(message, "write numbers without marks of thousands, and a blank between numbers");
        return at_byte(message, 0);
    }
    if (decimal == '.' && sign == ',') {
        status_fail(message, STATUS_MALFORMED, "`%.*s` has a comma, but the file states a decimal point",
                    shown, span.p);
        status_remedy(message, "write %.*s.%.*s, or a blank after the comma", (int)shape->whole, span.p,
                      (int)shape->fraction, span.p + shape->mark + 1);
        return at_byte(message, 0);
    }
    bool either = decimal == '\0' ? sign == ',' : decimal == ',' && sign == '.';
    if (either && like_thousands(span, shape)) {
        int before = (int)shape->whole;
        const char *after = span.p + shape->mark + 1;
        char point = decimal == ',' ? ',' : '.';
        status_fail(message, STATUS_AMBIGUOUS, "`%.*s` can be %.*s%c%.3s or %.*s%.3s", shown, span.p, before,
                    span.p, point, after, before, span.p, after);
        status_remedy(message, "write %.*s%c%.3s or %.*s%.3s", before, span.p, point, after, before, span.p,
                      after);
        return at_byte(message, 0);
    }
    return STATUS_OK;
}

enum status amount_number(struct span span, char decimal, double *ret_number, int *ret_decimals,
                          size_t *ret_used, struct message *message)
{
    size_t sign = spelling_at(span, minus);
    bool negative = sign > 0;
    if (sign == 0 && at(span, 0) == '+')
        sign = 1;
    struct span rest = span_from(span, sign);
    struct shape shape = shape_of(rest);
    *ret_used = 0;
    if (shape.end == 0)
        return STATUS_OK;
    enum status status = judge_sign(rest, &shape, decimal, message);
    if (status != STATUS_OK)
        return status;
    size_t exponent = shape.end; /* `1.5e3`, but not `1.5e` or `1.5 e3` */
    if (at(rest, exponent) == 'e' || at(rest, exponent) == 'E') {
        exponent += at(rest, exponent + 1) == '-' || at(rest, exponent + 1) == '+' ? 2 : 1;
        if (digit_at(rest, exponent))
            for (shape.end = exponent; digit_at(rest, shape.end);)
                shape.end++;
    }
    double number;
    int decimals;
    size_t used = number_read((struct span){rest.p, shape.end}, ',', &number, &decimals);
    if (used != shape.end || abs(decimals) > DECIMALS_LIMIT) {
        status_fail(message, STATUS_MALFORMED, "this number is too long or too large to be a reading");
        status_remedy(message, "write it with the digits that the meter shows");
        return at_byte(message, 0);
    }
    *ret_number = negative ? -number : number;
    *ret_decimals = decimals;
    *ret_used = sign + used;
    return STATUS_OK;
}

/* A number with its unit, if one follows. */
struct piece {
    double number;
    int decimals;
    struct unit unit;
    size_t used;
};

static enum status read_piece(struct span span, char decimal, struct piece *ret_piece,
                              struct message *message)
{
    struct piece piece = {.unit = {QUANTITY_NONE, 1, 0}};
    enum status status = amount_number(span, decimal, &piece.number, &piece.decimals, &piece.used, message);
    if (status == STATUS_OK && piece.used > 0) {
        size_t gap = piece.used + blanks_at(span_from(span, piece.used));
        size_t word = unit_read(span_from(span, gap), &piece.unit);
        if (word > 0)
            piece.used = gap + word;
    }
    if (status == STATUS_OK)
        *ret_piece = piece;
    return status;
}

static double step_of(const struct piece *piece, const struct unit *unit)
{
    return pow(10, -piece->decimals) * unit->factor;
}

static const struct {
    enum amount_form form;
    const char *spellings[9];
} hedges[] = {
    {AMOUNT_ABOUT, {"~", "≈", "ca.", "ca", "circa", "about", "approx.", "approx", NULL}},
    {AMOUNT_ABOVE, {">=", ">", "≥", "above", "over", "more than", "at least", NULL}},
    {AMOUNT_BELOW, {"<=", "<", "≤", "below", "under", "less than", "at most", NULL}},
};

static size_t read_hedge(struct span span, enum amount_form *ret_form)
{
    for (size_t k = 0; k < sizeof hedges / sizeof *hedges; k++) {
        size_t n = spelling_at(span, hedges[k].spellings);
        if (n > 0) {
            *ret_form = hedges[k].form;
            return n + blanks_at(span_from(span, n));
        }
    }
    return 0;
}

/* The sign between the two numbers of a range or a spread, with the blanks about it. */
struct joint {
    enum amount_form form;
    bool loose;  /* a hyphen between blanks: `60 - 62 Ah`, or a dash between columns */
    size_t used; /* 0: none */
};

/* A hyphen joins only where the first number has no unit, and not as the minus of `12.9 -5 A`. */
static struct joint read_joint(struct span span, const struct piece *first)
{
    static const char *const spread[] = {"±", "+/-", "+-", NULL};
    static const char *const range[] = {"...", "..", "…", "to", NULL};
    static const char *const hyphen[] = {"–", "-", NULL};
    struct joint joint = {AMOUNT_RANGE, false, 0};
    size_t before = blanks_at(span), sign;
    struct span rest = span_from(span, before);
    if ((sign = spelling_at(rest, spread)) > 0) {
        joint.form = AMOUNT_SPREAD;
    } else if ((sign = spelling_at(rest, range)) == 0 && first->unit.quantity == QUANTITY_NONE) {
        sign = spelling_at(rest, hyphen);
        joint.loose = before > 0;
        if (joint.loose != (blanks_at(span_from(rest, sign)) > 0))
            sign = 0;
    }
    size_t used = before + sign + blanks_at(span_from(rest, sign));
    if (sign > 0 && (joint.form == AMOUNT_RANGE || digit_at(span, used)))
        joint.used = used;
    return joint;
}

static enum status join_range(const struct piece *first, const struct piece *second,
                              struct amount *ret_amount, struct message *message)
{
    const struct unit *one = first->unit.quantity != QUANTITY_NONE ? &first->unit : &second->unit;
    double lo = unit_own(first->number, one), hi = unit_own(second->number, &second->unit);
    if (one->quantity != second->unit.quantity || !(lo <= hi)) {
        status_fail(message, STATUS_MALFORMED,
                    lo > hi ? "the range runs downwards" : "the two ends of the range differ in their unit");
        status_remedy(message, "write the smaller end first and the unit last, like `60..62 Ah`");
        return at_byte(message, 0);
    }
    *ret_amount = (struct amount){AMOUNT_RANGE,
                                  one->quantity,
                                  (lo + hi) / 2,
                                  lo,
                                  hi,
                                  fmax(step_of(first, one), step_of(second, &second->unit))};
    return STATUS_OK;
}

/* `24 ± 0.5 A`, `24 A ± 0.5 A`, `24 A ± 2 %`, `24.8 A ± 3 digits`. A spread is a difference: no shift. */
static enum status join_spread(const struct piece *first, const struct piece *second,
                               struct amount *ret_amount, struct message *message)
{
    bool given = first->unit.quantity != QUANTITY_NONE;
    bool given_late = second->unit.quantity != QUANTITY_NONE;
    const struct unit *unit = given ? &first->unit : &second->unit;
    double value = unit_own(first->number, unit), halfwidth;
    if (given && second->unit.quantity == QUANTITY_RATIO && unit->quantity != QUANTITY_RATIO)
        halfwidth = second->number * second->unit.factor * fabs(value);
    else if (given && second->unit.quantity == QUANTITY_COUNT_OF)
        halfwidth = second->number * step_of(first, unit);
    else if (!given || !given_late || second->unit.quantity == unit->quantity)
        halfwidth = second->number * (given_late ? second->unit.factor : unit->factor);
    else {
        status_fail(message, STATUS_MALFORMED,
                    "the spread after ± has another unit than the value before it");
        status_remedy(message, "write it like `24 ± 0.5 A` or `24 A ± 2 %%`");
        return at_byte(message, 0);
    }
    *ret_amount = (struct amount){AMOUNT_SPREAD,     unit->quantity,    value,
                                  value - halfwidth, value + halfwidth, step_of(first, unit)};
    return STATUS_OK;
}

static struct amount single(const struct piece *piece, enum amount_form form)
{
    double value = unit_own(piece->number, &piece->unit);
    struct amount amount = {form, piece->unit.quantity, value, value, value, step_of(piece, &piece->unit)};
    if (form == AMOUNT_ABOVE)
        amount.hi = INFINITY, amount.value = NAN;
    if (form == AMOUNT_BELOW)
        amount.lo = -INFINITY, amount.value = NAN;
    return amount;
}

static enum status read_joined(struct span span, char decimal, size_t offset, const struct piece *first,
                               struct amount *ret_amount, size_t *ret_used, struct message *message)
{
    struct joint joint = read_joint(span_from(span, offset), first);
    struct piece second;
    if (joint.used == 0)
        return STATUS_OK;
    enum status status = read_piece(span_from(span, offset + joint.used), decimal, &second, message);
    if (status != STATUS_OK) {
        if (message != NULL)
            message->column += (long)(offset + joint.used);
        return status;
    }
    if (second.used == 0 ||
        (joint.loose && second.unit.quantity == QUANTITY_NONE)) /* `12 V to the terminals` */
        return STATUS_OK;
    status = joint.form == AMOUNT_RANGE ? join_range(first, &second, ret_amount, message)
                                        : join_spread(first, &second, ret_amount, message);
    if (status == STATUS_OK)
        *ret_used = offset + joint.used + second.used;
    return status;
}

enum status amount_read(struct span span, char decimal, struct amount *ret_amount, size_t *ret_used,
                        struct message *message)
{
    enum amount_form form = AMOUNT_PLAIN;
    struct piece first = {0};
    size_t hedge = read_hedge(span, &form);
    *ret_used = 0;
    enum status status = read_piece(span_from(span, hedge), decimal, &first, message);
    if (status != STATUS_OK) {
        if (message != NULL)
            message->column += (long)hedge;
        return status;
    }
    if (first.used == 0) /* a hedge before no number is a word */
        return STATUS_OK;
    struct amount amount = single(&first, form);
    size_t used = hedge + first.used;
    if (form == AMOUNT_PLAIN || form == AMOUNT_ABOUT)
        status = read_joined(span, decimal, used, &first, &amount, &used, message);
    if (status == STATUS_OK) {
        *ret_amount = amount;
        *ret_used = used;
    }
    return status;
}

bool lengths_read(struct span span, double ret_m[3])
{
    struct unit unit;
    double sides[3];
    for (int k = 0; k < 3; k++) {
        size_t used = number_read(span, '.', &sides[k], NULL);
        span = span_trim(span_from(span, used));
        if (used == 0)
            return false;
        if (k < 2 && span.n > 1 && span.p[0] == ',' && isdigit((unsigned char)span.p[1]))
            return false; /* `172,5` is one length to some */
        while (k < 2 && span.n > 0 && !isdigit((unsigned char)span.p[0]))
            span = span_from(span, 1);
    }
    if (!unit_find(span, &unit) || unit.quantity != QUANTITY_LENGTH)
        return false;
    for (int k = 0; k < 3; k++)
        ret_m[k] = unit_own(sides[k], &unit);
    return true;
}
