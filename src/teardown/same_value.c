#include "teardown/same_value.h"

#include "base/nearest.h"
#include "intake/amount.h"
#include "teardown/gauge.h"
#include "teardown/metal.h"
#include "teardown/opened_values.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

/* Our conventions; see the header. */
static const double section_share = 0.03, tape_m = 0.005, outline_m = 0.002, scale_share = 0.01;

static struct span head_of(const char *value)
{
    return span_trim((struct span){value, strcspn(value, ",;")});
}

static struct span tail_of(const char *value)
{
    size_t n = strcspn(value, ",;");
    struct span tail = span_of(value + n);
    while (tail.n > 0 && strchr(",; \t", tail.p[0]) != NULL)
        tail.p++, tail.n--;
    return span_trim(tail);
}

static bool is_kept(char c)
{
    return isalnum((unsigned char)c) || (unsigned char)c >= 0x80;
}

/* Letters and digits alone, in any case: marks between them are read differently by different eyes. */
static bool same_words(struct span a, struct span b)
{
    size_t i = 0, j = 0;
    for (;;) {
        while (i < a.n && !is_kept(a.p[i]))
            i++;
        while (j < b.n && !is_kept(b.p[j]))
            j++;
        if (i == a.n || j == b.n)
            return i == a.n && j == b.n;
        if (tolower((unsigned char)a.p[i++]) != tolower((unsigned char)b.p[j++]))
            return false;
    }
}

/* What one of them does not say is no difference. */
static bool same_tails(const char *first, const char *second)
{
    struct span a = tail_of(first), b = tail_of(second);
    return a.n == 0 || b.n == 0 || same_words(a, b);
}

static bool same_size(const char *first, const char *second, bool *ret_sizes)
{
    struct gauge a, b;
    *ret_sizes = gauge_read(head_of(first), &a, NULL) == STATUS_OK && gauge_read(head_of(second), &b, NULL) == STATUS_OK;
    return *ret_sizes && a.parallel == b.parallel && a.flat == b.flat &&
           fabs(a.area_mm2 - b.area_mm2) <= section_share * fmax(a.area_mm2, b.area_mm2);
}

static bool same_sides(const char *first, const char *second, bool *ret_sides)
{
    double a[3], b[3];
    *ret_sides = lengths_read(head_of(first), a) && lengths_read(head_of(second), b);
    for (int k = 0; k < 3 && *ret_sides; k++)
        if (!(fabs(a[k] - b[k]) <= outline_m))
            return false;
    return *ret_sides;
}

static bool same_amount(const char *first, const char *second, bool *ret_amounts)
{
    struct amount a, b;
    size_t a_used = 0, b_used = 0;
    *ret_amounts = amount_read(span_of(first), '\0', &a, &a_used, NULL) == STATUS_OK && a_used > 0 &&
                   amount_read(span_of(second), '\0', &b, &b_used, NULL) == STATUS_OK && b_used > 0 &&
                   a.quantity == b.quantity && isfinite(a.lo + a.hi + b.lo + b.hi);
    if (!*ret_amounts)
        return false;
    double apart = fmax(a.lo, b.lo) - fmin(a.hi, b.hi);
    double room = 0.5 * (a.digit + b.digit);
    if (a.quantity == QUANTITY_LENGTH)
        room += tape_m;
    if (a.quantity == QUANTITY_MASS)
        room += scale_share * fmax(a.hi, b.hi);
    return apart <= room * (1 + 1e-9);
}

static bool same_arrangement(const char *first, const char *second)
{
    int a[2], b[2];
    if (!arrangement_read(head_of(first), &a[0], &a[1]) || !arrangement_read(head_of(second), &b[0], &b[1]))
        return same_words(span_of(first), span_of(second));
    return a[0] == b[0] && a[1] == b[1];
}

bool same_value(enum opened_kind kind, const char *key, const char *first, const char *second)
{
    bool read = false, same = false;
    if (name_alike(span_of(key), "printed"))
        return same_words(span_of(first), span_of(second));
    if (name_alike(span_of(key), "from") || name_alike(span_of(key), "to"))
        return same_words(head_of(first), head_of(second));
    if (name_alike(span_of(key), "metal") && metal_named(head_of(first)) != METALS)
        return metal_named(head_of(first)) == metal_named(head_of(second));
    if (name_alike(span_of(key), "path"))
        return first[0] == second[0];
    if (name_alike(span_of(key), "arrangement"))
        return same_arrangement(first, second);
    if (name_alike(span_of(key), "size") && kind != OPENED_CASE && kind != OPENED_CELLS)
        same = same_size(first, second, &read);
    else if (name_alike(span_of(key), "size"))
        same = same_sides(first, second, &read);
    else
        same = same_amount(first, second, &read);
    return (read ? same : same_words(head_of(first), head_of(second))) && same_tails(first, second);
}
