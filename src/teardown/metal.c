#include "teardown/metal.h"

const struct metal_facts metal_facts[METALS] = {
    [METAL_COPPER] = {"copper", 1.0 / 58, 0.00393, 0.01, 390, 1085, 8890, 385},
    /* IEC 60228 allows tinned strands of class 5 some 2 % more than plain ones. */
    [METAL_TINNED_COPPER] = {"tinned copper", 1.02 / 58, 0.00393, 0.015, 385, 1085, 8890, 385},
    [METAL_ALUMINIUM] = {"aluminium", 0.02826, 0.00403, 0.01, 230, 660, 2703, 900},
    /* 10 % copper by volume, the usual make. */
    [METAL_COPPER_CLAD_ALUMINIUM] = {"copper-clad aluminium", 0.0274, 0.00400, 0.05, 240, 660, 3320, 800},
    [METAL_NICKEL] = {"nickel", 0.0699, 0.0060, 0.05, 88, 1455, 8900, 445},
    [METAL_NICKEL_STEEL] = {"nickel-plated steel", 0.13, 0.0055, 0.25, 55, 1455, 7850, 475},
    [METAL_BRASS] = {"brass", 0.064, 0.0016, 0.10, 120, 920, 8500, 380},
};

static const struct {
    const char *word;
    enum metal metal;
} words[] = {
    {"copper", METAL_COPPER}, {"Cu", METAL_COPPER}, {"tinned copper", METAL_TINNED_COPPER}, {"tinned", METAL_TINNED_COPPER},
    {"aluminium", METAL_ALUMINIUM}, {"aluminum", METAL_ALUMINIUM}, {"Al", METAL_ALUMINIUM},
    {"copper-clad aluminium", METAL_COPPER_CLAD_ALUMINIUM}, {"copper-clad aluminum", METAL_COPPER_CLAD_ALUMINIUM},
    {"CCA", METAL_COPPER_CLAD_ALUMINIUM}, {"nickel", METAL_NICKEL}, {"Ni", METAL_NICKEL},
    {"nickel-plated steel", METAL_NICKEL_STEEL}, {"steel", METAL_NICKEL_STEEL}, {"brass", METAL_BRASS},
};

enum metal metal_named(struct span word)
{
    for (size_t k = 0; k < sizeof words / sizeof words[0]; k++)
        if (span_is_word(span_trim(word), words[k].word))
            return words[k].metal;
    return METALS;
}

double metal_resistivity(enum metal metal, double degc)
{
    const struct metal_facts *facts = &metal_facts[metal];
    return facts->ohm_mm2_per_m * (1 + facts->per_k * (degc - 20));
}
