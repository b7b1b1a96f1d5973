/* The account of an uncertainty: what it is made of, and what would shrink it. */
#include "report/account.h"

#include "base/number.h"

#define SMALL 1e-3 /* share of the variance below which a contribution is told only in sum */

int budget_order(const struct measure *measure, int ret_order[MEASURE_PARTS], double ret_share[MEASURE_PARTS])
{
    double total = 0;
    for (int k = 0; k < measure->count; k++)
        total += measure->parts[k].u * measure->parts[k].u;
    for (int k = 0; k < measure->count; k++) {
        int at = k;
        while (at > 0 && fabs(measure->parts[ret_order[at - 1]].u) < fabs(measure->parts[k].u)) {
            ret_order[at] = ret_order[at - 1];
            at--;
        }
        ret_order[at] = k;
    }
    for (int k = 0; k < measure->count; k++)
        ret_share[k] = total > 0 ? pow(measure->parts[ret_order[k]].u, 2) / total : 0;
    return measure->count;
}

struct measure account_shown(const struct measure *measure, enum quantity quantity, const char **ret_symbol)
{
    double factor;
    *ret_symbol = quantity_shown(quantity, &factor);
    struct measure shown = measure_scale(measure, factor);
    shown.u = measure->u * factor;
    shown.dof = measure->dof;
    shown.lo = measure->lo * factor;
    shown.hi = measure->hi * factor;
    return shown;
}

static const char *what_of(const struct part *part)
{
    return part->what != NULL && part->what[0] != '\0' ? part->what : cause_name(part->cause);
}

static void add_u(struct listing *rows, double u, const char *symbol)
{
    char words[32];
    number_print(fabs(u), fabs(u), words, sizeof words);
    listing_add(rows, "%s%s%s", words, symbol[0] != '\0' ? " " : "", symbol);
}

static void add_share(struct listing *rows, double share)
{
    if (share < SMALL)
        listing_add(rows, "< 0.1 %%");
    else
        listing_add(rows, "%.1f %%", 100 * share);
}

void account_budget(const struct measure *measure, const char *symbol, bool brief, struct listing *rows)
{
    static const char *const shapes[] = {"normal", "rectangular", "triangular", "arcsine", "t"};
    int order[MEASURE_PARTS];
    double share[MEASURE_PARTS], rest = 0;
    int count = budget_order(measure, order, share), small = 0;
    for (int k = 0; k < count; k++) {
        const struct part *part = &measure->parts[order[k]];
        if (brief && share[k] < SMALL) {
            rest += part->u * part->u;
            small++;
            continue;
        }
        add_share(rows, share[k]);
        add_u(rows, part->u, symbol);
        listing_add(rows, "%s, %s%s", what_of(part), shapes[part->shape], part->source != 0 ? ", one error throughout" : "");
    }
    if (count == 0)
        return;
    if (small > 0) {
        add_share(rows, 0);
        add_u(rows, sqrt(rest), symbol);
        listing_add(rows, "%d smaller ones", small);
    }
    listing_add(rows, "together");
    add_u(rows, measure->u, symbol);
    if (isfinite(measure->dof) && measure->dof < 1e4)
        listing_add(rows, "standard uncertainty, %.0f degrees of freedom", measure->dof);
    else
        listing_add(rows, "standard uncertainty");
}

/* One cause and what it does to either measure. */
struct cause_row {
    const char *what;
    double variance[2];
};

static int gather(const struct measure *measure, int side, struct cause_row *causes, int count)
{
    for (int k = 0; k < measure->count && measure_known(measure); k++) {
        const char *what = what_of(&measure->parts[k]);
        int at = 0;
        while (at < count && strcmp(causes[at].what, what) != 0)
            at++;
        if (at == count)
            causes[count++] = (struct cause_row){.what = what};
        causes[at].variance[side] += measure->parts[k].u * measure->parts[k].u;
    }
    return count;
}

static double share_of(const struct cause_row *row, const double *total, int side)
{
    return total[side] > 0 ? row->variance[side] / total[side] : 0;
}

static double largest_share(const struct cause_row *row, const double *total)
{
    return fmax(share_of(row, total, 0), share_of(row, total, 1));
}

static void sort_causes(struct cause_row *causes, int count, const double *total)
{
    for (int k = 1; k < count; k++)
        for (int j = k; j > 0 && largest_share(&causes[j - 1], total) < largest_share(&causes[j], total); j--) {
            struct cause_row other = causes[j];
            causes[j] = causes[j - 1];
            causes[j - 1] = other;
        }
}

static void add_shares(struct listing *rows, const struct cause_row *row, const double *total)
{
    listing_add(rows, "%s", row->what);
    for (int side = 0; side < 2; side++) {
        if (row->variance[side] > 0)
            add_share(rows, share_of(row, total, side));
        else
            listing_add(rows, "–");
    }
}

void account_budgets(const struct measure *a, const char *a_symbol, const struct measure *b, const char *b_symbol,
                     struct listing *rows)
{
    struct cause_row causes[2 * MEASURE_PARTS], rest = {0};
    double total[2] = {0, 0};
    char small[48];
    int count = gather(b, 1, causes, gather(a, 0, causes, 0)), left = 0;
    for (int k = 0; k < count; k++)
        total[0] += causes[k].variance[0], total[1] += causes[k].variance[1];
    sort_causes(causes, count, total);
    for (int k = 0; k < count; k++) {
        if (largest_share(&causes[k], total) >= SMALL) {
            add_shares(rows, &causes[k], total);
            continue;
        }
        rest.variance[0] += causes[k].variance[0], rest.variance[1] += causes[k].variance[1];
        left++;
    }
    snprintf(small, sizeof small, "%d smaller ones", left);
    rest.what = small;
    if (left > 0)
        add_shares(rows, &rest, total);
    if (count == 0)
        return;
    listing_add(rows, "together");
    add_u(rows, sqrt(total[0]), a_symbol);
    add_u(rows, sqrt(total[1]), b_symbol);
}

void account_largest(const struct measure *measure, struct text *text)
{
    int order[MEASURE_PARTS] = {0};
    double share[MEASURE_PARTS] = {0};
    if (!measure_known(measure) || budget_order(measure, order, share) == 0)
        return;
    const struct part *part = &measure->parts[order[0]];
    text_addf(text, "%s, %.0f %%.", what_of(part), 100 * share[0]);
    if (part->remedy != NULL && part->remedy[0] != '\0')
        text_addf(text, " What would shrink it: %s.", part->remedy);
}
