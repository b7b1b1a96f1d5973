#include "draw/ink.h"

static const char *const names[INK_NONE] = {"ink", "soft", "hair", "paper", "first", "second", "band"};

static const unsigned colours[][INK_NONE] = {
    [PALETTE_LIGHT] = {0x14211f, 0x586765, 0xd6dedc, 0xfcfdfc, 0x0b5a60, 0x8b2e5b, 0xe6efed},
    [PALETTE_DARK] = {0xe5edea, 0x97a7a4, 0x2c3937, 0x111817, 0x72c8c5, 0xe69bc1, 0x1d2c2a},
    [PALETTE_PRINT] = {0x101a19, 0x53605e, 0xc9d2d0, 0xffffff, 0x0b5a60, 0x8b2e5b, 0xe8f0ee},
};

const char *ink_name(enum ink ink)
{
    return ink < INK_NONE ? names[ink] : "none";
}

unsigned ink_colour(enum palette palette, enum ink ink)
{
    return colours[palette][ink < INK_NONE ? ink : INK_MAIN];
}
