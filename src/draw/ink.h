/* Inks: colours by meaning. A figure names an ink; the surface it is put on chooses the colour.
 *
 * Colour only repeats what words, shapes and line styles already say: no two inks are told apart by
 * hue alone. On its paper each text ink has a contrast of at least 4.5:1 (WCAG 2.1, 1.4.3). */
#ifndef RUNDOWN_DRAW_INK_H
#define RUNDOWN_DRAW_INK_H

enum ink {
    INK_MAIN,   /* words and the lines that matter */
    INK_SOFT,   /* captions, ticks, second lines */
    INK_HAIR,   /* grid lines and faint rules */
    INK_PAPER,  /* the ground */
    INK_FIRST,  /* the first series; what went well (teal) */
    INK_SECOND, /* the second series; what did not (plum) */
    INK_BAND,   /* a tint behind a stretch or an interval */
    INK_NONE,   /* not drawn */
};

enum palette { PALETTE_LIGHT, PALETTE_DARK, PALETTE_PRINT };

/* The CSS name of an ink (`--first` is ink_name with two dashes before it). */
const char *ink_name(enum ink ink);

/* 0xRRGGBB, sRGB. Not for INK_NONE. */
unsigned ink_colour(enum palette palette, enum ink ink);

#endif
