/* Metal: what a conductor is made of.
 *
 * Copper: resistivity 1/58 Ω·mm²/m and 0.00393 /K at 20 °C, 8.89 g/cm³ (IEC 60028, from memory). The others are handbook
 * values, from memory; alloys spread by the shares given, pure metals by 1 %. A strand's metal is what its maker
 * says: steel or aluminium under copper is found with a magnet, a file or a scale, not by the eye. */
#ifndef RUNDOWN_TEARDOWN_METAL_H
#define RUNDOWN_TEARDOWN_METAL_H

#include "base/text.h"

enum metal { METAL_COPPER, METAL_TINNED_COPPER, METAL_ALUMINIUM, METAL_COPPER_CLAD_ALUMINIUM, METAL_NICKEL, METAL_NICKEL_STEEL, METAL_BRASS, METALS };

struct metal_facts {
    const char *name;            /* "copper" */
    double ohm_mm2_per_m;        /* at 20 °C */
    double per_k;                /* of it, at 20 °C */
    double spread;               /* half-width of the resistivity, a share */
    double w_per_m_k;            /* heat conducted along it */
    double melts_degc;
    double kg_per_m3, j_per_kg_k;
};
extern const struct metal_facts metal_facts[METALS];

/* `copper`, `tinned copper`, `CCA`…; METALS when the word is none. */
enum metal metal_named(struct span word);

double metal_resistivity(enum metal metal, double degc); /* Ω·mm²/m */

#endif
