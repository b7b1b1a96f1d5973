#include "battery/sight_words.h"

#include "base/text.h"

enum { WORDS = 24 };

struct words {
    struct span word[WORDS];
    int count;
};

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || (c & 0x80) != 0;
}

static bool is_one_of(struct span word, const char *const *list)
{
    for (; *list != NULL; list++)
        if (span_is_word(word, *list))
            return true;
    return false;
}

/* The words up to the one that takes the rest back. */
static struct words split(const char *text)
{
    static const char *const not_yet[] = {"before", "until", "till", "no", "not", "without", NULL};
    struct words words = {.count = 0};
    while (*text != '\0' && words.count < WORDS) {
        size_t n = 0;
        while (is_letter(text[n]))
            n++;
        if (n == 0) {
            text++;
            continue;
        }
        struct span word = {text, n};
        if (is_one_of(word, not_yet))
            break;
        words.word[words.count++] = word;
        text += n;
    }
    return words;
}

static bool has(const struct words *words, const char *const *list)
{
    for (int k = 0; k < words->count; k++)
        if (is_one_of(words->word[k], list))
            return true;
    return false;
}

#define ANY(...) ((const char *const[]){__VA_ARGS__, NULL})

/* Who switched, from all the words: `the kettle`, `burst`, `charger`, `meter`. */
struct subject {
    bool load, burst, charger, charge, meter, film, tally; /* charge: that it happened, not what did it */
};

static struct subject subject_of(const struct words *words)
{
    return (struct subject){
        .load = has(words, ANY("inverter", "load", "converter")),
        .burst = has(words, ANY("burst", "pulse", "surge")),
        .charger = has(words, ANY("charger", "charge", "charging", "charged")),
        .charge = has(words, ANY("charge", "charging", "charges")) && !has(words, ANY("charger")),
        .meter = has(words, ANY("meter", "display", "screen")),
        .film = has(words, ANY("film", "filming", "picture", "clip", "video", "camera", "log")),
        .tally = has(words, ANY("tally", "counter", "ah", "wh", "meter")),
    };
}

static unsigned off(struct subject who)
{
    return who.burst ? SAYS_BURST_OFF : who.charger ? SAYS_CHARGER_OFF : who.meter ? SAYS_DARK : SAYS_LOAD_OFF;
}

static unsigned on(struct subject who)
{
    return who.burst ? SAYS_BURST : who.charger ? SAYS_CHARGER_ON : who.meter || who.film ? 0 : SAYS_LOAD_ON;
}

static bool is_cut(const struct words *words)
{
    if (has(words, ANY("cutoff", "trip", "trips", "tripped", "opened", "opens", "collapse", "collapsed")))
        return true;
    for (int k = 1; k < words->count; k++)
        if (is_one_of(words->word[k], ANY("off", "out", "down")) &&
            is_one_of(words->word[k - 1], ANY("cut", "cuts", "shut", "shuts")))
            return true;
    return false;
}

static bool gives_up(const struct words *words)
{
    for (int k = 1; k < words->count; k++)
        if (is_one_of(words->word[k], ANY("up")) && is_one_of(words->word[k - 1], ANY("gave", "gives", "give")))
            return true;
    return false;
}

static unsigned switched(const struct words *words, struct subject who)
{
    bool still = has(words, ANY("still", "stays", "left"));
    if (gives_up(words))
        return SAYS_GAVE_UP;
    if (is_cut(words))
        return who.load ? SAYS_GAVE_UP : SAYS_CUT_OFF;
    if (still)
        return 0;
    if (has(words, ANY("off")))
        return off(who);
    if (who.charge && has(words, ANY("stopped", "stops", "refused", "refuses")))
        return SAYS_CUT_OFF; /* who stopped it, the volts tell */
    if (!who.film && has(words, ANY("stopped", "stop", "stops", "end", "ends", "ended", "over", "finished",
                                    "removed", "disconnected")))
        return off(who);
    if (who.burst)
        return has(words, ANY("after")) ? SAYS_BURST_OFF : SAYS_BURST;
    if (has(words, ANY("on")) || (!who.film && has(words, ANY("start", "starts", "started", "connected"))))
        return on(who);
    return 0;
}

unsigned sight_says(const char *text)
{
    struct words words = split(text);
    struct subject who = subject_of(&words);
    unsigned says = switched(&words, who);
    if (has(&words, ANY("dark", "dead", "blank")))
        says |= SAYS_DARK;
    if (has(&words, ANY("full", "charged")))
        says |= SAYS_FULL;
    if (has(&words, ANY("rested", "rest", "resting", "overnight")))
        says |= SAYS_RESTED;
    if (has(&words, ANY("woke", "woken", "wakes", "wake", "awake")))
        says |= SAYS_WOKEN;
    if (who.tally && has(&words, ANY("zero", "zeroed", "reset")))
        says |= SAYS_TALLY_ZERO;
    return says;
}
