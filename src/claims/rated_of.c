#include "claims/rated_of.h"

#include "intake/stamp.h"
#include "teardown/case_size.h"

#include <ctype.h>
#include <string.h>

/* `IP65`, `IP 6X` among other words; NULL. */
static const char *ingress_in(const char *words)
{
    for (const char *at = strcasestr(words, "IP"); at != NULL; at = strcasestr(at + 2, "IP")) {
        const char *code = at + 2 + strspn(at + 2, " ");
        bool apart = at == words || !isalnum((unsigned char)at[-1]);
        if (apart && (isdigit((unsigned char)code[0]) || code[0] == 'X') &&
            (isdigit((unsigned char)code[1]) || code[1] == 'X'))
            return code;
    }
    return NULL;
}

static void take_ingress(const char *words, struct rated *rated)
{
    const char *code = ingress_in(words);
    if (code == NULL || rated->claims_ingress)
        return;
    rated->claims_ingress = true;
    snprintf(rated->ingress, sizeof rated->ingress, "IP%.2s", code);
}

/* `group 31`, `BCI 31` among other words. */
static void take_group(const char *words, struct rated *rated)
{
    static const char *const before[] = {"group ", "BCI "};
    for (size_t k = 0; k < sizeof before / sizeof before[0] && rated->group[0] == '\0'; k++) {
        const char *at = strcasestr(words, before[k]);
        if (at == NULL)
            continue;
        struct span rest = span_of(at + strlen(before[k])), name = span_take_word(&rest);
        while (name.n > 0 && !isalnum((unsigned char)name.p[name.n - 1]))
            name.n--;
        if (case_group_named(name) != NULL)
            span_copy(name, rated->group, sizeof rated->group);
    }
}

/* A statement in words that the label makes and does not deny. */
static void take_statement(const struct claim *claim, struct rated *rated)
{
    if (claim->kind != CLAIM_YES_NO || strncasecmp(claim->as_stated, "no", 2) == 0)
        return;
    const char *both[2] = {claim->name, claim->as_stated};
    for (int k = 0; k < 2; k++) {
        take_ingress(both[k], rated);
        take_group(both[k], rated);
        rated->claims_heater |= strcasestr(both[k], "heat") != NULL;
    }
    rated->claims_cold_cut_off |= strcasestr(claim->name, "charg") != NULL &&
                                  (strcasestr(claim->name, "cold") != NULL || strcasestr(claim->name, "low temp") != NULL ||
                                   strcasestr(claim->name, "freez") != NULL);
}

static double noted_of(const struct label *label, const char *slug, double factor)
{
    for (size_t k = 0; k < label->noted_count; k++)
        if (strcmp(label->noted[k].slug, slug) == 0 && measure_known(&label->noted[k].measure))
            return factor * label->noted[k].measure.value;
    return NAN;
}

/* `3 February 2026, workshop …`. */
static void take_date(const char *tested, struct rated *rated)
{
    struct span date = {tested, strcspn(tested, ",;")};
    int64_t day;
    bool one_way;
    if (stamp_date_read(date, DATE_ORDER_UNKNOWN, &day, &one_way) && one_way)
        stamp_date_of(day, &rated->test_year, &rated->test_month, &rated->test_day);
}

struct rated rated_of(const struct label *label)
{
    struct rated rated = rated_nothing();
    const struct claim *charge = label_claim(label, CLAIM_CHARGE_CURRENT), *peak = label_claim(label, CLAIM_PEAK_CURRENT);
    rated.continuous_a = label->continuous_a;
    rated.peak_a = label->peak_a;
    rated.peak_s = peak != NULL ? peak->duration_s : NAN;
    rated.charge_a = charge != NULL ? charge->stated : NAN;
    rated.rated_ah = label->rated_ah;
    rated.rated_wh = label->rated_wh;
    rated.nominal_v = label->nominal_v;
    rated.cells = label->cells;
    rated.mass_kg = noted_of(label, "mass", 1);
    rated.length_mm = noted_of(label, "length", 1000);
    rated.width_mm = noted_of(label, "width", 1000);
    rated.height_mm = noted_of(label, "height", 1000);
    for (size_t k = 0; k < label->claim_count; k++)
        take_statement(&label->claims[k], &rated);
    take_ingress(label->description, &rated);
    take_group(label->description, &rated);
    take_date(label->tested, &rated);
    return rated;
}
