/* The moisture kernel once more in C, for benchmarks/wood_kernel.py: the same scheme, step for step. */

#include <math.h>
#include <string.h>

enum { DENSITY, GRAVITY, BOUND, LIQUID, FULL, AFTER_RAIN, START };
enum { FILM, CATCH, KEEPS, SUN, CONTACT, HOLD, HELD, OVER };
enum { FRONT = 7, BACK = 15 };
enum { D0, ENERGY, SLOPE, PORE0, PORE1, FREE, BLEND, FROZEN, E0, MAGNUS_A, MAGNUS_B, COLDEST, COOLING, ACTIVATION, REFERENCE, SORPTION };
enum { ARRIVED, TAKEN_UP, RUN_OFF, EVAPORATED, CONDENSED, FROM_HOLD, DRIED, TOTALS };
#define MOST_NODES 1024
#define TOLERANCE_PCT 1e-4
#define NEAR_PCT 0.1
#define SETTLED_PCT 1e-3

typedef struct {
    double outward, inward, supply, width, K, K1, K2, top, rise, g_liquid, g_hold, hold_at;
    double taken, held_in, total, drying;
} Face;
typedef struct { double moisture, rise, humidity; } State;
typedef struct { double flow, slope, liquid, liquid_slope; } Inflow;

static inline double grow(double x) {
    double z = x * (1.0 / 256.0);
    double p = 1.0 + z * (1.0 / 7.0 + z * (1.0 / 56.0 + z * (1.0 / 504.0)));
    p = 1.0 + z * (1.0 / 3.0 + z * (1.0 / 12.0 + z * (1.0 / 60.0 + z * (1.0 / 360.0) * p)));
    p = 1.0 + z * (1.0 + z * 0.5 * p);
    p *= p; p *= p; p *= p; p *= p; p *= p; p *= p; p *= p; p *= p;
    return p;
}

static inline double least(double a, double b) { return a < b ? a : b; }
static inline double most(double a, double b) { return a > b ? a : b; }

static inline double split(double m, double free, double blend, double *slope) {
    double over = m - free, x = least(most(over / blend, 0.0), 1.0);
    *slope = x * x * (3.0 - 2.0 * x);
    return blend * x * x * x * (1.0 - 0.5 * x) + most(over - blend, 0.0);
}

static inline double diffusivity(double held, double base, double tilt, double dry, double wet, double *slope) {
    double empty = most(dry - wet * held, 1e-30), pore = sqrt(empty);
    double one = 1.0 - pore, two = 1.0 - empty, inverse = 1.0 / (one * two);
    double value = base * grow(tilt * held) * inverse;
    double bend = 0.5 * wet * (two + 2.0 * pore * one) * inverse / pore;
    *slope = value * (tilt - (empty > 1e-20 ? bend : 0.0));
    return value;
}

static inline State sorption(double s, const Face *f) {
    if (s >= 1.0) return (State){f->top + f->rise * (s - 1.0), f->rise, 1.0};
    double y = f->K * s, k1 = f->K1, k12 = f->K1 * f->K2;
    double above = (k1 + 2.0 * k12 * y) * y, below = 1.0 + (k1 + k12 * y) * y;
    double bend = ((k1 + 4.0 * k12 * y) * below - above * (k1 + 2.0 * k12 * y)) / (below * below);
    double slope = f->width * f->K * (1.0 / ((1.0 - y) * (1.0 - y)) + bend);
    return (State){f->width * (y / (1.0 - y) + above / below), slope, s};
}

static void set_face(Face *f, double air_pa, double c, double state, const double *own, const double *law) {
    double exchange = own[FILM] / (461.52 * (c + 273.15));
    double full = law[E0] * exp(law[MAGNUS_A] * c / (law[MAGNUS_B] + c));
    const double *q = law + SORPTION;
    double t = most(c, law[COLDEST]);
    double far = law[MAGNUS_B] + c, bend = law[MAGNUS_A] * law[MAGNUS_B] / (far * far) - 1.0 / (c + 273.15);
    exchange /= 1.0 + law[COOLING] * exchange * full * bend * least(state, 1.0);
    f->outward = exchange * full;
    f->inward = exchange * least(air_pa, full);
    f->drying = own[OVER] * most(full - air_pa, 0.0) / (461.52 * (c + 273.15));
    f->width = 1800.0 / (q[0] + t * (q[1] + t * q[2]));
    f->K = q[3] + t * (q[4] + t * q[5]);
    f->K1 = q[6] + t * (q[7] + t * q[8]);
    f->K2 = q[9] + t * (q[10] + t * q[11]);
    State end = sorption(1.0 - 1e-15, f);
    f->top = end.moisture;
    f->rise = end.rise;
    f->g_liquid = own[CONTACT];
    f->g_hold = own[HOLD];
    f->hold_at = own[HELD];
}

static inline Inflow into_face(State at, double full, const Face *f) {
    double flow = f->inward - f->outward * at.humidity + f->g_hold * (f->hold_at - at.moisture);
    double slope = f->g_hold + (at.humidity < 1.0 ? f->outward / at.rise : 0.0);
    double wanted = f->g_liquid * (full - at.moisture);
    if (f->supply <= 0.0) return (Inflow){flow, slope, 0.0, 0.0};
    if (wanted >= f->supply) return (Inflow){flow + f->supply, slope, f->supply, 0.0};
    return (Inflow){flow + wanted, slope + f->g_liquid, wanted, f->g_liquid};
}

static double settle(double guess, double beside, double D1, double link, double base, double tilt, double liquid,
                     const Face *f, const double *par, const double *law) {
    double free = law[FREE], blend = law[BLEND];
    double dry = 1.0 - par[GRAVITY] * law[PORE0], wet = par[GRAVITY] * law[PORE1];
    double ignored, loose1 = split(beside, free, blend, &ignored), held1 = beside - loose1;
    double low = 0.0, high = 1.0, highest = most(most(beside, par[FULL]), f->hold_at);
    if (highest > f->top) high += (highest - f->top) / f->rise;
    double s = least(most(guess, low), high);
    for (int i = 0; i < 80; i++) {
        State at = sorption(s, f);
        Inflow in = into_face(at, par[FULL], f);
        double share, bend, loose = split(at.moisture, free, blend, &share), held = at.moisture - loose;
        double D = diffusivity(held, base, tilt, dry, wet, &bend);
        double rest = in.flow - link * (0.5 * (D + D1) * (held - held1) + liquid * (loose - loose1));
        double slope = in.slope
            + link * (0.5 * (D + D1 + bend * (held - held1)) * (1.0 - share) + liquid * share);
        if (rest > 0.0) low = s; else high = s;
        double step = rest / (slope * at.rise);
        if (fabs(step) * at.rise < SETTLED_PCT) return s + step;
        s += step;
        if (!(low < s && s < high)) s = 0.5 * (low + high);
    }
    return s;
}

static int solve(int n, double *u, double *s, const double *old, const double *hold, const double *link,
                 const double *base, const double *tilt, Face *faces, const double *par, const double *law, double liquid) {
    static _Thread_local double D[MOST_NODES], bend[MOST_NODES], rest[MOST_NODES], up[MOST_NODES];
    static _Thread_local double loose[MOST_NODES], share[MOST_NODES], held[MOST_NODES];
    double from = law[FREE], blend = law[BLEND];
    double dry = 1.0 - par[GRAVITY] * law[PORE0], wet = par[GRAVITY] * law[PORE1];
    double change_before = 0.0;
    int last = n - 1;
    for (int round = 0; round < 30; round++) {
        for (int j = 0; j <= last; j++) {
            loose[j] = split(u[j], from, blend, &share[j]);
            held[j] = u[j] - loose[j];
        }
        for (int j = 0; j <= last; j++) D[j] = diffusivity(held[j], base[j], tilt[j], dry, wet, &bend[j]);
        for (int f = 0; f < 2; f++) {
            int j = f * last, by = 1 + f * (last - 2), at = f * (last - 1);
            s[f] = settle(s[f], u[by], D[by], link[at], base[j], tilt[j], liquid, &faces[f], par, law);
            u[j] = sorption(s[f], &faces[f]).moisture;
            loose[j] = split(u[j], from, blend, &share[j]);
            held[j] = u[j] - loose[j];
            D[j] = diffusivity(held[j], base[j], tilt[j], dry, wet, &bend[j]);
        }
        State at0 = sorption(s[0], &faces[0]), at1 = sorption(s[1], &faces[1]);
        Inflow in0 = into_face(at0, par[FULL], &faces[0]), in1 = into_face(at1, par[FULL], &faces[1]);
        double flow_last = in0.flow, a_last = 0.0, b_last = in0.slope, inverse = 0.0, y = 0.0;
        for (int j = 0; j < last; j++) {
            double drop = held[j] - held[j + 1], free = link[j] * liquid;
            double half = 0.5 * link[j], both = D[j] + D[j + 1];
            double flow = half * both * drop + free * (loose[j] - loose[j + 1]);
            double a = half * (both + bend[j] * drop) * (1.0 - share[j]) + free * share[j];
            double b = half * (both - bend[j + 1] * drop) * (1.0 - share[j + 1]) + free * share[j + 1];
            double right = flow_last - flow - hold[j] * (u[j] - old[j]);
            inverse = 1.0 / (hold[j] + a + b_last - a_last * b_last * inverse);
            rest[j] = y = (right + a_last * y) * inverse;
            up[j] = b * inverse;
            flow_last = flow;
            a_last = a;
            b_last = b;
        }
        double change = (flow_last + in1.flow + a_last * y) / (b_last + in1.slope - a_last * b_last * inverse);
        double last_change = change, largest = fabs(change);
        u[last] += change;
        for (int j = last - 1; j >= 0; j--) {
            change = rest[j] + up[j] * change;
            u[j] += change;
            if (fabs(change) > largest) largest = fabs(change);
        }
        if (!(largest < 1e9)) return 0;
        faces[0].total = in0.flow - in0.slope * change;
        faces[1].total = in1.flow - in1.slope * last_change;
        faces[0].taken = in0.liquid - in0.liquid_slope * change;
        faces[1].taken = in1.liquid - in1.liquid_slope * last_change;
        faces[0].held_in = faces[0].g_hold * (faces[0].hold_at - u[0]);
        faces[1].held_in = faces[1].g_hold * (faces[1].hold_at - u[last]);
        s[0] = most(s[0] + change / at0.rise, 0.0);
        s[1] = most(s[1] + last_change / at1.rise, 0.0);
        if (largest < TOLERANCE_PCT) return 1;
        if (largest < NEAR_PCT && largest * largest * largest < TOLERANCE_PCT * change_before * change_before) return 1;
        change_before = largest;
        for (int j = 1; j < last; j++) u[j] = most(u[j], 0.0);
    }
    return 0;
}

static int advance(int n, double *u, double *s, double *old, double *water, const double *rain, int frozen,
                   const double *hold, const double *link, const double *base, const double *tilt, Face *faces, const double *par,
                   const double *law, double dt, double flows[2][TOTALS]) {
    int wet = 0;
    for (int f = 0; f < 2; f++) {
        double reach = frozen ? 0.0 : most(water[f] / dt + rain[f], 0.0), dried = least(faces[f].drying, reach);
        faces[f].supply = reach - dried;
        flows[f][DRIED] += dried * dt;
        water[f] -= dried * dt;
        wet |= faces[f].supply > 0.0;
    }
    memcpy(old, u, n * sizeof *u);
    double liquid = wet ? par[LIQUID] : par[LIQUID] * par[AFTER_RAIN];
    if (!solve(n, u, s, old, hold, link, base, tilt, faces, par, law, liquid)) return 0;
    for (int f = 0; f < 2; f++) {
        double taken = faces[f].taken, vapour = faces[f].total - taken - faces[f].held_in;
        flows[f][ARRIVED] += rain[f] * dt;
        flows[f][TAKEN_UP] += taken * dt;
        flows[f][FROM_HOLD] += faces[f].held_in * dt;
        flows[f][vapour < 0.0 ? EVAPORATED : CONDENSED] += fabs(vapour) * dt;
        double left = frozen ? 0.0 : rain[f] * dt - taken * dt, lost = frozen ? rain[f] * dt : 0.0;
        double over = most(water[f] + left - par[(f ? BACK : FRONT) + KEEPS], 0.0);
        water[f] = most(water[f] + left - over, 0.0);
        flows[f][RUN_OFF] += lost + over;
    }
    return 1;
}

/* Returns 0, or 1 + the record where a step did not converge. */
long run_one(long records, long n, const double *front, const double *back, const long *month, const double *depth,
             const double *store, const double *link, const double *par, const double *law, const double *sets,
             long set_count, double threshold, double dt, long a_year, long spin, double *totals, double *response,
             double *above, double *monthly, double *mean) {
    double u[MOST_NODES], old[MOST_NODES], before[MOST_NODES], base[MOST_NODES], tilt[MOST_NODES], thawed[MOST_NODES];
    double hold[MOST_NODES], s[2] = {0.5, 0.5}, water[2] = {0.0, 0.0}, rain[2], flows[2][TOTALS];
    Face faces[2];
    memset(faces, 0, sizeof faces);
    for (long j = 0; j < n; j++) u[j] = par[START];
    for (long count = -spin * a_year; count < records; count++) {
        long i = count >= 0 ? count : ((count % a_year) + a_year) % a_year;
        const double *a = front + 4 * i, *b = back + 4 * i;
        double c0 = a[0] + par[FRONT + SUN] * a[3], c1 = b[0] + par[BACK + SUN] * b[3];
        set_face(&faces[0], a[1], c0, s[0], par + FRONT, law);
        set_face(&faces[1], b[1], c1, s[1], par + BACK, law);
        rain[0] = a[2] * par[FRONT + CATCH];
        rain[1] = b[2] * par[BACK + CATCH];
        int frozen = a[0] < law[FROZEN], good = 0;
        for (long j = 0; j < n; j++) {
            double c = c0 + (c1 - c0) * depth[j], irt = 1.0 / (8.314462618 * (c + 273.15));
            thawed[j] = c < law[FROZEN] ? 0.0 : 1.0;
            tilt[j] = law[SLOPE] * irt;
            base[j] = par[BOUND] * law[D0] * grow(-law[ENERGY] * irt);
        }
        if (count == 0) memset(totals, 0, 2 * TOTALS * sizeof *totals);
        double keep[4] = {s[0], s[1], water[0], water[1]};
        memcpy(before, u, n * sizeof *u);
        for (int pieces = 1; pieces <= 256 && !good; pieces *= 4) {
            memset(flows, 0, sizeof flows);
            for (long j = 0; j < n; j++) hold[j] = store[j] * pieces / dt;
            good = 1;
            for (int p = 0; p < pieces && good; p++)
                good = advance(n, u, s, old, water, rain, frozen, hold, link, base, tilt, faces, par, law, dt / pieces, flows);
            if (!good) {
                memcpy(u, before, n * sizeof *u);
                s[0] = keep[0]; s[1] = keep[1]; water[0] = keep[2]; water[1] = keep[3];
            }
        }
        if (!good) return 1 + i;
        for (int k = 0; k < 2 * TOTALS; k++) totals[k] += flows[k / TOTALS][k % TOTALS];
        if (count < 0) continue;
        double *in_month = monthly + month[i] * (n - 2);
        for (long j = 0; j < n - 2; j++) {
            in_month[j] += u[j + 1];
            mean[j] += u[j + 1];
            above[j] += u[j + 1] > threshold ? thawed[j + 1] : 0.0;
        }
        for (long k = 0; k < set_count; k++) {
            double steep = sets[2 * k], half = sets[2 * k + 1], *row = response + k * (n - 2);
            for (long j = 0; j < n - 2; j++) {
                double x = least(most(steep * (half - u[j + 1]), -40.0), 40.0);
                row[j] += thawed[j + 1] / (1.0 + grow(x));
            }
        }
    }
    return 0;
}
