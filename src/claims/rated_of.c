#include "claims/rated_of.h"

struct rated rated_of(const struct label *label)
{
    struct rated rated = rated_nothing();
    const struct claim *charge = label_claim(label, CLAIM_CHARGE_CURRENT);
    rated.continuous_a = label->continuous_a;
    rated.peak_a = label->peak_a;
    rated.charge_a = charge != NULL ? charge->stated : NAN;
    rated.rated_ah = label->rated_ah;
    rated.rated_wh = label->rated_wh;
    rated.nominal_v = label->nominal_v;
    rated.cells = label->cells;
    return rated;
}
