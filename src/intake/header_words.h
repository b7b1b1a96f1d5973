/* The words of headers and comments, in the languages the trade's instruments speak, as senses. */
#ifndef RUNDOWN_INTAKE_HEADER_WORDS_H
#define RUNDOWN_INTAKE_HEADER_WORDS_H

#include "base/text.h"

enum header_sense {
    SENSE_TIME = 1 << 0,
    SENSE_DATE = 1 << 1,
    SENSE_STEP = 1 << 2,
    SENSE_VOLTAGE = 1 << 3,
    SENSE_CURRENT = 1 << 4,
    SENSE_POWER = 1 << 5,
    SENSE_TEMPERATURE = 1 << 6,
    SENSE_CAPACITY = 1 << 7, /* Ah, or Wh by its unit */
    SENSE_ENERGY = 1 << 8,
    SENSE_MODE = 1 << 9,
    SENSE_NOTE = 1 << 10,
    SENSE_SAMPLE = 1 << 11, /* battery, pack */
    SENSE_AMBIENT = 1 << 12,
    SENSE_CELL = 1 << 13,
    SENSE_CHARGE = 1 << 14, /* the word `charge`: a direction, or a quantity when nothing else stands */
    SENSE_DISCHARGE = 1 << 15,
    SENSE_NEVER = 1 << 16,  /* limits, settings, statistics, other devices */
    SENSE_NUMBER = 1 << 17, /* digits stand in the name */
    SENSE_REST = 1 << 18,
    SENSE_PLUS = 1 << 19,
    SENSE_MINUS = 1 << 20,
    SENSE_WALL_CLOCK = 1 << 21, /* the time of day rather than of the test */
    SENSE_UTC = 1 << 23,
    SENSE_INTERVAL = 1 << 22, /* between rows */
};

/* All senses of a text's words, split at blanks, signs, digits and humps (`BattVolts`). Letters that
 * stand alone (`U`, `I`, `t`) count in short texts only. `ret_words` (may be NULL): how many words. */
unsigned header_senses(struct span text, int *ret_words);

/* +1: positive when current leaves the sample; -1: when it enters; 0: these words do not say.
 * `discharge positive`, `+ = charge`, `charge negative`. */
int header_sign(struct span text);

/* +1 discharge, -1 charge, 0 rest, from a mode column's cell (`DCHG`, `CC charge`, `R`); false for a
 * word that is none of them. */
bool header_mode(struct span cell, int *ret_direction);

#endif
