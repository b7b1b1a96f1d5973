/* Writes a long invented log: time (s), volts, amps (positive when discharging), °C.
 *
 * One discharge of a pack of four cells in series fills the whole length, whatever that is: rest, a
 * load of constant power whose amps rise as the volts fall, a burst of twice the power, the knee, the
 * BMS opening, and a dark meter for the rest. The pack's charge is chosen to fit the length.
 * usage: make_log ROWS PERIOD_S >FILE */
#include <inttypes.h>
#include <stdbool.h>
#include <stdint.h>

enum { BLOCK = 1 << 20, ROW_LIMIT = 64 };

static const double LOAD_W = 320, BURST_W = 640, PACK_OHM = 0.012, CUT_OFF_V = 10.0;
static const double REST_SHARE = 0.01, LOAD_SHARE = 0.98, BURST_AT = 0.4, BURST_SHARE = 0.004;

/* xorshift64* (Vigna 2016, doi.org/10.1145/2845077); the sum of four uniforms is normal enough here. */
static double noise(uint64_t *state, double sigma)
{
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    uint64_t bits = *state * UINT64_C(2685821657736338717);
    double sum = 0;
    for (int k = 0; k < 4; k++)
        sum += (double)(bits >> 16 * k & 0xFFFF);
    return sigma * (sum / 65536 - 2) * 1.7320508;
}

/* Open-circuit volts of the pack at the share of its charge already drawn: flat, then the knee. */
static double open_circuit_v(double drawn)
{
    return 4 * (3.30 + 0.06 * exp(-25 * drawn) - 0.07 * drawn - 0.9 * exp(-(1 - drawn) / 0.022));
}

/* Hundredths, thousandths, … as decimal text: the point goes before the last `decimals` digits. */
static char *put_fixed(char *p, double value, int decimals, char after)
{
    static const double scale[] = {1, 10, 100, 1000};
    int64_t fixed = llround(value * scale[decimals]);
    if (fixed < 0)
        *p++ = '-', fixed = -fixed;
    char digits[24];
    int count = 0;
    while (fixed > 0 || count <= decimals) {
        digits[count++] = (char)('0' + fixed % 10);
        fixed /= 10;
    }
    while (count > 0) {
        if (count == decimals)
            *p++ = '.';
        *p++ = digits[--count];
    }
    *p++ = after;
    return p;
}

static void write_rows(int64_t rows, double period_s, char *block)
{
    double length_s = (double)rows * period_s;
    double mean_a = LOAD_W / 13.0, charge_as = mean_a * length_s * (LOAD_SHARE + BURST_SHARE);
    double drawn = 0, volts = open_circuit_v(0), degc = 19.4;
    uint64_t state = UINT64_C(0x52554E444F574E31);
    bool dark = false;
    char *p = block;
    for (int64_t k = 0; k < rows; k++) {
        double share = (double)k / (double)rows, watts = 0;
        if (!dark && share >= REST_SHARE)
            watts = share >= BURST_AT && share < BURST_AT + BURST_SHARE ? BURST_W : LOAD_W;
        double amps = dark ? 0 : watts / volts;
        volts = dark ? 0 : open_circuit_v(drawn) - PACK_OHM * amps;
        drawn += amps * period_s / charge_as;
        degc += (19.4 + amps * 0.25 - degc) * period_s / (0.1 * length_s);
        dark = dark || volts < CUT_OFF_V || drawn >= 1;
        p = put_fixed(p, (double)k * period_s, 2, ',');
        p = put_fixed(p, dark ? fabs(noise(&state, 0.002)) : volts + noise(&state, 0.003), 3, ',');
        p = put_fixed(p, amps > 0 && !dark ? amps + noise(&state, 0.02) : 0, 2, ',');
        p = put_fixed(p, degc + noise(&state, 0.05), 1, '\n');
        if (p - block > BLOCK - ROW_LIMIT || k == rows - 1) {
            if (fwrite(block, 1, (size_t)(p - block), stdout) != (size_t)(p - block))
                exit(1);
            p = block;
        }
    }
}

int main(int argc, char **argv)
{
    int64_t rows = argc == 3 ? strtoll(argv[1], NULL, 10) : 0;
    double period_s = argc == 3 ? strtod(argv[2], NULL) : 0;
    char *block = malloc(BLOCK);
    if (rows < 1 || !(period_s >= 0.01) || block == NULL) {
        fprintf(stderr, "usage: make_log ROWS PERIOD_S >FILE   (a period of 0.01 s or more)\n");
        return 2;
    }
    puts("time (s),voltage (V),current (A),temperature (degC)");
    write_rows(rows, period_s, block);
    free(block);
    return fflush(stdout) != 0;
}
