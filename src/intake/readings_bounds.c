#include "intake/readings.h"

#include "base/nearest.h"
#include "intake/amount.h"

/* The table of intake/readings.h. */
static const struct {
    double digits, share;
} widths[HADS] = {
    [HAD_SEEN] = {0.5, 0},          [HAD_FILMED] = {1, 0},      [HAD_PRINTED] = {0.5, 0},
    [HAD_REMEMBERED] = {2.5, 0.02}, [HAD_INFERRED] = {5, 0.05},
};
static const double about_digits = 2, about_share = 0.05;

void readings_widen(const struct amount *amount, enum had had, struct sighted *sighted)
{
    double typed = amount->form == AMOUNT_BELOW ? amount->hi : amount->lo;
    double width = fmax(widths[had].digits * amount->digit, widths[had].share * fabs(typed));
    bool kept = amount->form == AMOUNT_RANGE || amount->form == AMOUNT_SPREAD;
    if (amount->form == AMOUNT_ABOUT)
        width = fmax(width, fmax(about_digits * amount->digit, about_share * fabs(typed)));
    if (kept || (isnan(amount->value) && widths[had].share == 0))
        width = 0;
    sighted->value = amount->value;
    sighted->lo = amount->lo - width;
    sighted->hi = amount->hi + width;
    sighted->digit = amount->digit;
    sighted->had = had;
    sighted->hedged = amount->form != AMOUNT_PLAIN;
}

int readings_had(struct span words)
{
    static const struct {
        const char *word;
        enum had had;
    } ways[] = {
        {"seen", HAD_SEEN},         {"by eye", HAD_SEEN},           {"filmed", HAD_FILMED},
        {"printed", HAD_PRINTED},   {"remembered", HAD_REMEMBERED}, {"from memory", HAD_REMEMBERED},
        {"inferred", HAD_INFERRED}, {"calculated", HAD_INFERRED},   {"worked out", HAD_INFERRED},
    };
    for (size_t k = 0; k < sizeof ways / sizeof *ways; k++)
        if (name_alike(words, ways[k].word))
            return (int)ways[k].had;
    return -1;
}

/* Far beyond a drop-in pack of 12 to 48 V, and far below a slip of a prefix. */
bool readings_plausible(const struct amount *amount)
{
    static const double most[QUANTITIES] = {
        [QUANTITY_VOLTAGE] = 1000, [QUANTITY_CURRENT] = 10000, [QUANTITY_POWER] = 1e6,
        [QUANTITY_CHARGE] = 1e5,   [QUANTITY_ENERGY] = 1e6,    [QUANTITY_TEMPERATURE] = 1000,
    };
    double largest = fmax(isinf(amount->lo) ? 0 : fabs(amount->lo), isinf(amount->hi) ? 0 : fabs(amount->hi));
    return largest <= most[amount->quantity];
}
