#include "battery/trip_stimulus.h"

#include "base/text.h"
#include "battery/sight_words.h"

#include <math.h>
#include <string.h>

enum { WORDS = 24 };

struct words {
    struct span word[WORDS];
    int count;
};

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || (c & 0x80) != 0;
}

static struct words split(const char *text)
{
    struct words words = {.count = 0};
    while (*text != '\0' && words.count < WORDS) {
        size_t n = 0;
        while (is_letter(text[n]))
            n++;
        if (n > 0)
            words.word[words.count++] = (struct span){text, n};
        text += n > 0 ? n : 1;
    }
    return words;
}

static bool is_one_of(struct span word, const char *const *list)
{
    for (; *list != NULL; list++)
        if (span_is_word(word, *list))
            return true;
    return false;
}

static const char *const hot[] = {"heated", "heat", "heating", "hot", "warm", "warmed", "warming", "dryer", "blower", NULL};
static const char *const cold[] = {"chilled", "chill", "chilling", "cold", "ice", "iced", "cool", "cooled", "cooling",
                                   "freeze", "freezing", "freezer", "frozen", "refrigerated", NULL};
static const char *const taken_back[] = {"no", "not", "without", "before", "until", "removed", "alone", "away", "off",
                                         "ended", "over", "stopped", NULL};
static const char *const sensors[] = {"sensor", "thermistor", "ntc", "probe", NULL};
static const char *const places[] = {"cell", "cells", "board", "bms", "case", "pack", "terminal", "busbar", NULL};
static const char *const between[] = {"the", "a", "an", "its", "on", "onto", "at", "to", "in", "into", "with", "by", "from",
                                      "of", "against", "and", "for", "now", "started", "starts", "start", "began", "begin",
                                      "put", "held", "air", "gun", "spray", "water", "bag", "pad", "s", "being", "is", "was",
                                      NULL};

static bool ends_phrase(struct span word)
{
    return is_one_of(word, between) || is_one_of(word, hot) || is_one_of(word, cold);
}

/* The words before a noun that belong to it, and a number after it: `rear cell sensor 2`. */
static void name_place(const struct words *words, int noun, char *place, size_t size)
{
    int first = noun, last = noun;
    while (first > 0 && !ends_phrase(words->word[first - 1]))
        first--;
    if (last + 1 < words->count && words->word[last + 1].p[0] >= '0' && words->word[last + 1].p[0] <= '9')
        last++;
    const char *end = words->word[last].p + words->word[last].n;
    span_copy((struct span){words->word[first].p, (size_t)(end - words->word[first].p)}, place, size);
}

static bool find_place(const struct words *words, const char *const *nouns, char *place, size_t size)
{
    for (int k = 0; k < words->count; k++) {
        if (!is_one_of(words->word[k], nouns))
            continue;
        name_place(words, k, place, size);
        return true;
    }
    return false;
}

struct treatment treatment_of(const char *words)
{
    struct treatment treatment = {TRIP_UNKNOWN, ""};
    struct words list = split(words);
    bool is_hot = false, is_cold = false;
    for (int k = 0; k < list.count; k++) {
        if (is_one_of(list.word[k], taken_back))
            return treatment;
        is_hot |= is_one_of(list.word[k], hot);
        is_cold |= is_one_of(list.word[k], cold);
    }
    if (is_hot == is_cold)
        return treatment;
    treatment.way = is_hot ? TRIP_HOT : TRIP_COLD;
    if (!find_place(&list, sensors, treatment.place, sizeof treatment.place))
        find_place(&list, places, treatment.place, sizeof treatment.place);
    return treatment;
}

bool stimulus_is_outcome(const char *words)
{
    return sight_says(words) & (SAYS_CUT_OFF | SAYS_DARK | SAYS_LOAD_OFF | SAYS_GAVE_UP | SAYS_CHARGER_OFF | SAYS_WOKEN);
}

void stimulus_place(const struct told *told, size_t count, double at_s, char *ret_place, size_t size)
{
    ret_place[0] = '\0';
    for (size_t k = 0; k < count && told[k].t_s <= at_s; k++) {
        struct treatment treatment = treatment_of(told[k].words);
        if (treatment.place[0] != '\0')
            snprintf(ret_place, size, "%s", treatment.place);
    }
}

const struct told *stimulus_find(const struct told *told, size_t count, double at_s, double not_before_s)
{
    const struct told *any = NULL, *treated = NULL;
    for (size_t k = 0; k < count; k++) {
        if (!(told[k].t_s <= at_s) || told[k].t_s < fmax(not_before_s, at_s - HEARD_BEFORE_S) || told[k].words[0] == '\0' ||
            stimulus_is_outcome(told[k].words))
            continue;
        any = &told[k];
        if (treatment_of(told[k].words).way != TRIP_UNKNOWN)
            treated = any;
    }
    return treated != NULL ? treated : any;
}
