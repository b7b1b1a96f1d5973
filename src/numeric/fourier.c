#include "numeric/fourier.h"

#include "numeric/distribution.h"

static const double nothing = 1e-14;    /* a term as small as this adds nothing to a probability */
static const double normal_reach = 8.5; /* a normal is beyond it with a probability of 2e-17 */

bool fourier_is_t(const struct sumdist_part *part)
{
    return part->shape == SHAPE_T && part->dof < 1e6; /* beyond, the probabilities differ by less than 1e-7 */
}

double fourier_reach(enum shape shape)
{
    switch (shape) {
    case SHAPE_RECTANGULAR: return sqrt(3);
    case SHAPE_TRIANGULAR: return sqrt(6);
    case SHAPE_ARCSINE: return sqrt(2);
    case SHAPE_NORMAL:
    case SHAPE_T: break;
    }
    return 0;
}

/* How many u of a t the period holds. Its own tail is in closed form; what is left beyond is what the
 * other parts make of it, less than reach^-dof / 60, for which 1e-6 is asked. The cap bounds the work;
 * below two degrees of freedom it costs accuracy. */
static double tail_reach(double dof)
{
    return fmin(fmax(pow(6e-5, -1 / dof), 20), 400);
}

static double square(double x)
{
    return x * x;
}

/* exp(-c (k + 1/2)^2) for k = 0, 1, … by its second-order recurrence. */
static void times_normal(double *value, size_t terms, double c)
{
    double e = exp(-c / 4), ratio = exp(-2 * c), factor = ratio;
    for (size_t k = 0; k < terms; k++) {
        value[k] *= e;
        e *= factor;
        factor *= ratio;
    }
}

/* sin(z) / z at z = (k + 1/2) angle, `power` times; the sine by turning a vector. */
static void times_sinc(double *value, size_t terms, double angle, int power)
{
    double s = sin(angle / 2), c = cos(angle / 2), turn_s = sin(angle), turn_c = cos(angle);
    for (size_t k = 0; k < terms; k++) {
        double sinc = angle > 0 ? s / (((double)k + 0.5) * angle) : 1;
        value[k] *= power == 2 ? sinc * sinc : sinc;
        double next = s * turn_c + c * turn_s;
        c = c * turn_c - s * turn_s;
        s = next;
    }
}

static void times_arcsine(double *value, size_t terms, double angle)
{
    for (size_t k = 0; k < terms; k++)
        value[k] *= j0(((double)k + 0.5) * angle);
}

/* Student's t as a normal of variance 1/w, where dof * w is a chi-square: the integral over ln w by
 * the trapezium rule, which converges exponentially here. Nodes run from large w to small, whose normals
 * are wide and die at low frequency; those below `least` are dead from the first. Returns how many. */
enum { NODES = 256 };
static size_t t_nodes(double dof, double least, double ret_w[NODES], double ret_weight[NODES])
{
    double half = dof / 2, pitch = fmin(0.5, 1 / sqrt(half)), total = 0;
    size_t count = 0;
    long k = 0;
    double density = 1, least_density = 1e-9; /* of ln w, but for a factor: 1 at its peak, w = 1 */
    while (density > least_density) {
        double log_w = (double)++k * pitch;
        density = exp(half * (log_w + 1 - exp(log_w)));
    }
    do {
        double log_w = (double)--k * pitch, w = exp(log_w);
        density = exp(half * (log_w + 1 - w));
        total += density;
        if (w >= least && count < NODES) {
            ret_w[count] = w;
            ret_weight[count++] = density;
        }
    } while (density > least_density);
    for (size_t j = 0; j < count; j++)
        ret_weight[j] /= total;
    return count;
}

/* What the other parts of the sum come to, as one normal. */
static double rest_of(const struct fourier *fourier, const struct sumdist_part *part)
{
    double rest = 0;
    for (size_t k = 0; k < fourier->n; k++)
        rest = &fourier->parts[k] != part ? hypot(rest, fourier->parts[k].u) : rest;
    return rest;
}

/* Multiplies value[] by the characteristic function of a t, and adds to closed[] that of the t and its
 * rest as a normal, whose distribution function t_closed_cdf has. */
static void times_t(const struct fourier *fourier, const struct sumdist_part *part, size_t terms,
                    double *value, double *closed)
{
    double w[NODES], e[NODES], factor[NODES], ratio[NODES] = {0}, rest[FOURIER_TERMS];
    double scale = square(part->u * fourier->step) / 2;
    size_t live = t_nodes(part->dof, scale / 256, w, e);
    for (size_t j = 0; j < live; j++) {
        double c = scale / w[j];
        e[j] *= exp(-c / 4);
        ratio[j] = exp(-2 * c);
        factor[j] = ratio[j];
    }
    for (size_t k = 0; k < terms; k++) {
        double sum = 0;
        while (live > 0 && e[live - 1] < nothing * nothing)
            live--;
        for (size_t j = 0; j < live; j++) {
            sum += e[j];
            e[j] *= factor[j];
            factor[j] *= ratio[j];
        }
        value[k] *= sum;
        rest[k] = sum;
    }
    times_normal(rest, terms, square(rest_of(fourier, part) * fourier->step) / 2);
    for (size_t k = 0; k < terms; k++)
        closed[k] += rest[k];
}

static double t_closed_cdf(const struct fourier *fourier, const struct sumdist_part *part, double x)
{
    double w[NODES], weight[NODES], sum = 0;
    double own = square(part->u / fourier->spread), rest = square(rest_of(fourier, part) / fourier->spread);
    size_t nodes = t_nodes(part->dof, 0, w, weight);
    for (size_t j = 0; j < nodes; j++)
        sum += weight[j] * normal_cdf(x / fourier->spread / sqrt(own / w[j] + rest));
    return sum;
}

static void times_part(const struct fourier *fourier, const struct sumdist_part *part, size_t terms,
                       double *value, double *closed)
{
    double scaled = fabs(part->u) * fourier->step, angle = scaled * fourier_reach(part->shape);
    switch (part->shape) {
    case SHAPE_NORMAL: times_normal(value, terms, square(scaled) / 2); break;
    case SHAPE_RECTANGULAR: times_sinc(value, terms, angle, 1); break;
    case SHAPE_TRIANGULAR: times_sinc(value, terms, angle / 2, 2); break;
    case SHAPE_ARCSINE: times_arcsine(value, terms, angle); break;
    case SHAPE_T:
        if (fourier_is_t(part))
            times_t(fourier, part, terms, value, closed);
        else
            times_normal(value, terms, square(scaled) / 2);
        break;
    }
}

/* Half a period: the largest sum that can occur, or nearly. */
static void set_period(struct fourier *fourier)
{
    double bounded = 0, normal = 0, heavy = 0, all = 0;
    for (size_t k = 0; k < fourier->n; k++) {
        const struct sumdist_part *part = &fourier->parts[k];
        double u = fabs(part->u), reach = fourier_reach(part->shape);
        all = hypot(all, u);
        bounded += reach * u;
        if (fourier_is_t(part)) {
            heavy += tail_reach(part->dof) * u;
            fourier->tails++;
        } else if (reach == 0) {
            normal = hypot(normal, u);
        }
    }
    fourier->spread = all;
    normal = hypot(normal, fourier->tails > 1 ? all : 0);
    fourier->bound = bounded + normal_reach * normal + heavy;
    fourier->step = M_PI / fourier->bound; /* a period of twice the bound holds x and the sum */
}

/* What no coefficient at frequency w exceeds, leaving out how a t itself decays. */
static double envelope(const struct fourier *fourier, double w)
{
    double product = 1, closed = 0;
    for (size_t k = 0; k < fourier->n; k++) {
        const struct sumdist_part *part = &fourier->parts[k];
        double z = fabs(part->u) * fourier_reach(part->shape) * w;
        switch (part->shape) {
        case SHAPE_RECTANGULAR: product *= fmin(1, 1 / z); break;
        case SHAPE_TRIANGULAR: product *= fmin(1, 4 / (z * z)); break;
        case SHAPE_ARCSINE: product *= fmin(1, sqrt(2 / (M_PI * z))); break;
        case SHAPE_NORMAL: product *= exp(-square(part->u * w) / 2); break;
        case SHAPE_T:
            if (fourier_is_t(part))
                closed += exp(-square(rest_of(fourier, part) * w) / 2);
            else
                product *= exp(-square(part->u * w) / 2);
            break;
        }
    }
    return product + closed;
}

/* The terms needed until the envelope is spent, or FOURIER_TERMS. */
static size_t terms_needed(const struct fourier *fourier)
{
    size_t low = 0, high = FOURIER_TERMS;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (envelope(fourier, ((double)middle + 0.5) * fourier->step) < 1e-9)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

void fourier_make(struct fourier *fourier)
{
    double *value = fourier->coefficient, closed[FOURIER_TERMS] = {0}, normal[FOURIER_TERMS];
    set_period(fourier);
    size_t terms = terms_needed(fourier);
    for (size_t k = 0; k < terms; k++)
        value[k] = normal[k] = 1;
    for (size_t j = 0; j < fourier->n; j++)
        times_part(fourier, &fourier->parts[j], terms, value, closed);
    if (fourier->tails > 1)
        times_normal(normal, terms, square(fourier->spread * fourier->step) / 2);
    for (size_t k = 0; k < terms; k++) {
        value[k] -= fourier->tails > 0 ? closed[k] - ((double)fourier->tails - 1) * normal[k] : 0;
        fourier->terms = fabs(value[k]) > nothing ? k + 1 : fourier->terms;
    }
    /* Where a few bounded parts would need more terms than there are, the last of them fade out instead
     * of breaking off: the edges of the density are then rounded over 1e-4 of the bound. */
    bool fade = fourier->terms > FOURIER_TERMS - FOURIER_TERMS / 16;
    for (size_t k = 0; k < fourier->terms; k++) {
        double place = (double)k + 0.5;
        value[k] *= (fade ? exp(-27 * square(square(place / FOURIER_TERMS))) : 1) / (M_PI * place);
    }
}

double fourier_cdf(const struct fourier *fourier, double x)
{
    double closed = 0.5;
    if (fourier->tails > 0) {
        closed = (1 - (double)fourier->tails) * normal_cdf(x / fourier->spread);
        for (size_t k = 0; k < fourier->n; k++)
            if (fourier_is_t(&fourier->parts[k]))
                closed += t_closed_cdf(fourier, &fourier->parts[k], x);
    }
    double angle = fourier->step * x, sum = 0;
    double s = sin(angle / 2), c = cos(angle / 2), turn_s = sin(angle), turn_c = cos(angle);
    if (fabs(x) <= fourier->bound) /* beyond, the closed part is all there is */
        for (size_t k = 0; k < fourier->terms; k++) {
            sum += fourier->coefficient[k] * s;
            double next = s * turn_c + c * turn_s;
            c = c * turn_c - s * turn_s;
            s = next;
        }
    else if (fourier->tails == 0)
        sum = x > 0 ? 0.5 : -0.5;
    return fmin(fmax(closed + sum, 0), 1);
}
