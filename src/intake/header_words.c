#include "intake/header_words.h"

#include <ctype.h>

static const struct {
    const char *words; /* blank-separated, lower case */
    unsigned sense;
} vocabulary[] = {
    {"time zeit timestamp elapsed uptime epoch unix seconds secs sec millis micros laufzeit testzeit tiempo hms ts "
     "zeitstempel runtime duration dauer tempo",
     SENSE_TIME},
    {"datetime", SENSE_TIME | SENSE_DATE},
    {"uhrzeit clock", SENSE_TIME | SENSE_WALL_CLOCK},
    {"date datum fecha", SENSE_DATE},
    {"realtime", SENSE_TIME | SENSE_WALL_CLOCK},
    {"real system local absolute", SENSE_WALL_CLOCK},
    {"utc gmt zulu", SENSE_UTC},
    {"step schritt stage segment", SENSE_STEP},
    {"voltage voltages volt volts spannung ewe ecell vbat vbatt vbus vload vpack vdc vcell ubat ubatt potential tension "
     "voltaje tensione",
     SENSE_VOLTAGE},
    {"current currents strom amps amp ampere amperes amperage ibat ibatt iload ibus ipack courant corriente corrente",
     SENSE_CURRENT},
    {"power watt watts leistung puissance potencia", SENSE_POWER},
    {"temperature temperatures temp temperatur degc degf celsius thermocouple tc rtd ntc thermistor température",
     SENSE_TEMPERATURE},
    {"tbat tbatt tcell", SENSE_TEMPERATURE | SENSE_SAMPLE},
    {"tamb", SENSE_TEMPERATURE | SENSE_AMBIENT},
    {"capacity ah mah amphours amphour ahr kapazität kapazitaet ladung ladungsmenge coulombs capacité capacidad",
     SENSE_CAPACITY},
    {"energy wh kwh mwh watthours watthour energie energía energia", SENSE_ENERGY},
    {"mode modus state status zustand md", SENSE_MODE},
    {"note notes comment comments remark remarks mark marks marker event events annotation bemerkung kommentar notiz "
     "ereignis message",
     SENSE_NOTE},
    {"battery batt bat pack sample akku batterie terminal terminals dut batteries", SENSE_SAMPLE},
    {"surface case skin", SENSE_SAMPLE},
    {"ambient amb chamber room air oven environment umgebung raum kammer klimakammer enclosure lab outside",
     SENSE_AMBIENT},
    {"cell cells zelle zellen", SENSE_CELL},
    {"charge charging chg chrg chgd charged cha laden ch", SENSE_CHARGE},
    {"discharge discharging dchg dchrg dis dsg dischg dsch dischrg discharged entladen entladung dch disch leaving out",
     SENSE_DISCHARGE},
    {"rest resting idle pause paused ocv wait relax ruhe standby", SENSE_REST},
    {"min max minimum maximum avg average mean std stdev delta diff difference set setpoint target limit cutoff cut ref "
     "reference threshold nominal rated error uncertainty accuracy range gain offset ripple noise dv di dq dt derivative "
     "soll remaining full design specific soc soh dod resistance impedance ir acr dcr esr factor",
     SENSE_NEVER},
    {"charger solar pv panel grid mains ac usb alternator supply heater internal mosfet mos fet board pcb cpu heatsink "
     "shunt meter device inverter chip mcu logger junction bms",
     SENSE_NEVER},
    {"positive pos positiv plus", SENSE_PLUS},
    {"negative neg negativ minus", SENSE_MINUS},
    {"interval timestep period rate sampling dt", SENSE_INTERVAL},
};

/* Letters alone, in short names. */
static const struct {
    char letter;
    unsigned sense;
} letters[] = {
    {'u', SENSE_VOLTAGE}, {'v', SENSE_VOLTAGE},  {'i', SENSE_CURRENT},     {'p', SENSE_POWER},
    {'t', SENSE_TIME},    {'q', SENSE_CAPACITY}, {'T', SENSE_TEMPERATURE},
};

static bool is_in(const char *words, struct span word)
{
    for (const char *p = words; *p != '\0';) {
        size_t n = strcspn(p, " ");
        if (n == word.n) {
            size_t k = 0;
            while (k < n && p[k] == (char)tolower((unsigned char)word.p[k]))
                k++;
            if (k == n)
                return true;
        }
        p += n + (p[n] == ' ');
    }
    return false;
}

static unsigned sense_of(struct span word)
{
    unsigned senses = 0;
    for (size_t k = 0; k < sizeof vocabulary / sizeof *vocabulary; k++)
        if (is_in(vocabulary[k].words, word))
            senses |= vocabulary[k].sense;
    return senses;
}

static bool is_letter(char c)
{
    return isalpha((unsigned char)c) || (unsigned char)c >= 0x80;
}

/* The next word of the text; moves the text past it. A hump starts a word: battVolts, StepTime. */
static struct span next_word(struct span *text)
{
    while (text->n > 0 && !is_letter(text->p[0])) {
        text->p++;
        text->n--;
    }
    size_t n = 0;
    while (n < text->n && is_letter(text->p[n])) {
        if (n > 0 && isupper((unsigned char)text->p[n]) && islower((unsigned char)text->p[n - 1]))
            break;
        n++;
    }
    struct span word = {text->p, n};
    text->p += n;
    text->n -= n;
    return word;
}

unsigned header_senses(struct span text, int *ret_words)
{
    unsigned senses = 0, alone = 0;
    int words = 0;
    for (size_t k = 0; k < text.n; k++) {
        senses |= isdigit((unsigned char)text.p[k]) ? SENSE_NUMBER : 0;
        senses |= text.p[k] == '+' ? SENSE_PLUS : 0;
    }
    for (struct span word; (word = next_word(&text)).n > 0; words++) {
        senses |= sense_of(word);
        for (size_t k = 0; word.n == 1 && k < sizeof letters / sizeof *letters; k++) {
            char c = word.p[0];
            if (c == letters[k].letter ||
                (letters[k].letter != 't' && letters[k].letter != 'T' && tolower(c) == letters[k].letter))
                alone |= letters[k].sense;
        }
    }
    if (words <= 2)
        senses |= alone;
    if (ret_words != NULL)
        *ret_words = words;
    return senses;
}

int header_sign(struct span text)
{
    int sign = 0;
    for (size_t k = 0, start = 0; k <= text.n; k++) {
        if (k < text.n && strchr(",;|()[]", text.p[k]) == NULL)
            continue;
        unsigned senses = header_senses((struct span){text.p + start, k - start}, NULL);
        start = k + 1;
        int direction = senses & SENSE_DISCHARGE ? 1 : senses & SENSE_CHARGE ? -1 : 0;
        int polarity = senses & SENSE_PLUS ? 1 : senses & SENSE_MINUS ? -1 : 0;
        bool both = (senses & SENSE_PLUS && senses & SENSE_MINUS) ||
                    (senses & SENSE_CHARGE && senses & SENSE_DISCHARGE);
        if (direction * polarity == 0 || both)
            continue;
        if (sign != 0 && sign != direction * polarity)
            return 0;
        sign = direction * polarity;
    }
    return sign;
}

bool header_mode(struct span cell, int *ret_direction)
{
    unsigned senses = header_senses(cell, NULL);
    if (cell.n == 1) {
        char c = (char)toupper((unsigned char)cell.p[0]);
        senses = c == 'D'                           ? SENSE_DISCHARGE
                 : c == 'C'                         ? SENSE_CHARGE
                 : c == 'R' || c == 'I' || c == 'P' ? SENSE_REST
                                                    : 0;
    }
    if (senses & SENSE_DISCHARGE)
        *ret_direction = 1;
    else if (senses & SENSE_CHARGE)
        *ret_direction = -1;
    else if (senses & SENSE_REST)
        *ret_direction = 0;
    else
        return false;
    return true;
}
