/* The ride kernel once more in plain C, as the floor that the compiled Python kernel is measured against.
 *
 * Same equations, same Runge-Kutta steps, same friction modes, same recorded series, same energy account as
 * src/forkwright/ride/kernel.py and motion.py. Built by bench_ride.py with gcc -O3 -march=native; the struct's
 * fields follow RideParameters (arrays as pointer and size).
 */
#include <math.h>
#include <stddef.h>

#define G0 9.80665

typedef struct { const double *data; long size; } Table;

typedef struct {
    double sprung_mass, unsprung_mass, rider_mass, rider_stiffness, rider_damping, axis_sine, slope_shift;
    double tyre_stiffness, tyre_loss;
    double ambient, gas_ratio;
    double positive_volume, positive_area, positive_content, positive_heat_rate;
    double negative_volume, negative_area, negative_content, negative_heat_rate;
    double spring_leg_volume, spring_leg_area, spring_leg_content;
    double damper_leg_volume, damper_leg_area, damper_leg_content, lower_leg_heat_rate;
    double floating_volume, floating_area, floating_back_area, floating_content, floating_heat_rate;
    double floating_stroke, floating_friction, floating_relaxation;
    double coil_rate, coil_force, negative_coil_rate, negative_coil_length;
    double top_out_rate, travel, bumper_length, bumper_rate, bumper_exponent, stop_rate;
    double friction_force, friction_per_load, friction_per_pressure, breakaway;
    double damper_push, damper_lowest_speed, damper_speed_step;
    Table damper_force;
    double damper_chambers, tube_area, shaft_area, compression_volume, shaft_volume;
    double oil_bulk_modulus, oil_air_share, reservoir_pressure, reservoir_gas_volume, reservoir_rate;
    double valve_pressure_step;
    Table piston_flow, base_flow;
    double leverage_step;
    Table leverage_stroke;
} Parameters;

enum { HEIGHT, TRAVEL, RISE, SPEED, RIDER_HEIGHT, RIDER_RISE, POSITIVE, NEGATIVE, SPRING_LEG, DAMPER_LEG,
       SECONDARY, FLOATING, COMPRESSION, SHAFT, STATES };
enum { GROUND, WEIGHT, DAMPER, FRICTION, TYRE, WALL, FLOAT_LOSS, RIDER, POWERS };

typedef struct { double v[STATES]; } State;
typedef struct { double v[POWERS]; } Work;
typedef struct { double tyre, friction, holding; } Forces;
typedef struct { double stroke, lever; } Stroke;
typedef struct { double height, rate, gravity, shift; } Road;

static inline double at_most(double a, double b) { return a < b ? a : b; }
static inline double at_least(double a, double b) { return a > b ? a : b; }

static inline double table(Table t, double position) {
    long place = (long)position;
    if (place < 0) place = 0;
    if (place > t.size - 2) place = t.size - 2;
    return t.data[place] + (position - place) * (t.data[place + 1] - t.data[place]);
}

static inline double oil_modulus(const Parameters *p, double pressure) {
    double gas = p->oil_air_share * 101325.0 / pressure;
    return (1.0 + gas) / (1.0 / p->oil_bulk_modulus + gas / pressure);
}

static inline double solid_springs(const Parameters *p, double stroke) {
    double force = p->coil_force + p->coil_rate * stroke;
    force -= p->negative_coil_rate * at_least(p->negative_coil_length - stroke, 0.0);
    force += p->top_out_rate * at_most(stroke, 0.0);
    double bumper = stroke - (p->travel - p->bumper_length);
    if (bumper > 0.0) {
        if (p->bumper_exponent == 1.0) force += p->bumper_rate * bumper;
        else force += p->bumper_rate * p->bumper_length * pow(bumper / p->bumper_length, p->bumper_exponent);
        force += p->stop_rate * at_least(stroke - p->travel, 0.0);
    }
    return force;
}

static inline Stroke stroke_and_lever(const Parameters *p, double travel) {
    Stroke at = {travel, 1.0};
    if (p->leverage_stroke.size > 1) {
        long place = (long)(travel / p->leverage_step);
        if (place < 0) place = 0;
        if (place > p->leverage_stroke.size - 2) place = p->leverage_stroke.size - 2;
        double rise = p->leverage_stroke.data[place + 1] - p->leverage_stroke.data[place];
        at.lever = rise / p->leverage_step;
        at.stroke = p->leverage_stroke.data[place] + (travel - place * p->leverage_step) * at.lever;
    }
    return at;
}

static inline void motion(const Parameters *p, const State *s, double mode, Road road, State *rate, Work *power,
                          Forces *forces) {
    const double *y = s->v;
    Stroke at = stroke_and_lever(p, y[TRAVEL]);
    double stroke = at.stroke, lever = at.lever;
    double stroke_speed = lever * y[SPEED];
    double per_volume = 1.0 / (p->positive_volume - p->positive_area * stroke + p->floating_area * y[FLOATING]);
    double positive = y[POSITIVE] * per_volume;
    double negative = y[NEGATIVE] / (p->negative_volume + p->negative_area * stroke);
    double spring_leg = y[SPRING_LEG] / (p->spring_leg_volume - p->spring_leg_area * stroke);
    double damper_leg = y[DAMPER_LEG] / (p->damper_leg_volume - p->damper_leg_area * stroke);
    double force = (positive - p->ambient) * p->positive_area - (negative - p->ambient) * p->negative_area
                   + (spring_leg - p->ambient) * p->spring_leg_area
                   + (damper_leg - p->ambient) * p->damper_leg_area + p->damper_push + solid_springs(p, stroke);

    double positive_heat = (p->positive_content - y[POSITIVE]) * p->positive_heat_rate;
    double floating_speed = 0.0, secondary_rate = 0.0, secondary_heat = 0.0, floating_loss = 0.0;
    if (p->floating_area > 0.0) {
        double ratio = p->gas_ratio, warm = ratio > 1.0 ? 1.0 : 0.0;
        double back_per_volume = 1.0 / (p->floating_volume - p->floating_back_area * y[FLOATING]);
        double secondary = y[SECONDARY] * back_per_volume;
        secondary_heat = warm * (p->floating_content - y[SECONDARY]) * p->floating_heat_rate;
        double gap = (positive - p->ambient) * p->floating_area
                     - (secondary - p->ambient) * p->floating_back_area;
        double pushing = p->floating_area * per_volume
                             * (ratio * positive * p->positive_area * stroke_speed + warm * positive_heat)
                         - p->floating_back_area * back_per_volume * secondary_heat;
        double stiffness = ratio * (positive * p->floating_area * p->floating_area * per_volume
                                    + secondary * p->floating_back_area * p->floating_back_area * back_per_volume);
        double drive = gap - at_most(at_least(gap, -p->floating_friction), p->floating_friction);
        floating_speed = (pushing + drive / p->floating_relaxation) / stiffness;
        int held = p->floating_friction > 0.0 && floating_speed * drive <= 0.0;
        int at_stop = (y[FLOATING] <= 0.0 && drive <= 0.0)
                      || (y[FLOATING] >= p->floating_stroke && drive >= 0.0);
        if (held || at_stop) floating_speed = 0.0;
        secondary_rate = (ratio - 1.0) * secondary * p->floating_back_area * floating_speed + secondary_heat;
        floating_loss = gap * floating_speed;
    }
    double positive_rate = 0.0, negative_rate = 0.0, spring_leg_rate = 0.0, damper_leg_rate = 0.0, wall = 0.0;
    if (p->gas_ratio > 1.0) {
        double exponent = p->gas_ratio - 1.0;
        double negative_heat = (p->negative_content - y[NEGATIVE]) * p->negative_heat_rate;
        double spring_leg_heat = (p->spring_leg_content - y[SPRING_LEG]) * p->lower_leg_heat_rate;
        double damper_leg_heat = (p->damper_leg_content - y[DAMPER_LEG]) * p->lower_leg_heat_rate;
        positive_rate = positive_heat + exponent * positive
                        * (p->positive_area * stroke_speed - p->floating_area * floating_speed);
        negative_rate = negative_heat - exponent * negative * p->negative_area * stroke_speed;
        spring_leg_rate = spring_leg_heat + exponent * spring_leg * p->spring_leg_area * stroke_speed;
        damper_leg_rate = damper_leg_heat + exponent * damper_leg * p->damper_leg_area * stroke_speed;
        wall = -(positive_heat + negative_heat + spring_leg_heat + damper_leg_heat + secondary_heat) / exponent;
    }
    double damper, compression_rate = 0.0, shaft_rate = 0.0;
    if (p->damper_chambers > 0.0) {
        double reservoir = p->reservoir_pressure + p->reservoir_rate * stroke;
        if (p->reservoir_gas_volume > 0.0)
            reservoir *= p->reservoir_gas_volume / (p->reservoir_gas_volume - p->shaft_area * stroke);
        double ring_area = p->tube_area - p->shaft_area, half = 0.5 * (p->piston_flow.size - 1);
        double through_piston
            = table(p->piston_flow, (y[COMPRESSION] - y[SHAFT]) / p->valve_pressure_step + half);
        double through_base = table(p->base_flow, (y[COMPRESSION] - reservoir) / p->valve_pressure_step + half);
        compression_rate = oil_modulus(p, y[COMPRESSION]) / (p->compression_volume - p->tube_area * stroke)
                           * (p->tube_area * stroke_speed - through_piston - through_base);
        shaft_rate = oil_modulus(p, y[SHAFT]) / (p->shaft_volume + ring_area * stroke)
                     * (through_piston - ring_area * stroke_speed);
        damper = (y[COMPRESSION] - p->ambient) * p->tube_area - (y[SHAFT] - p->ambient) * ring_area;
    } else {
        damper = table(p->damper_force, (stroke_speed - p->damper_lowest_speed) / p->damper_speed_step);
    }
    force += damper;

    double wheel_rise = y[RISE] + p->axis_sine * y[SPEED];
    double deflection = road.height - y[HEIGHT] - p->axis_sine * y[TRAVEL];
    double deflection_speed = road.rate - wheel_rise;
    double elastic = p->tyre_stiffness * at_least(deflection, 0.0);
    double tyre = at_least(elastic * (1.0 + p->tyre_loss * deflection_speed), 0.0);
    double arms = 0.0, arms_loss = 0.0, rider_acceleration = 0.0;
    if (p->rider_mass > 0.0) {
        double closing = y[RISE] - y[RIDER_RISE];
        arms = p->rider_mass * G0 + p->rider_stiffness * (y[HEIGHT] - y[RIDER_HEIGHT])
               + p->rider_damping * closing;
        arms_loss = p->rider_damping * closing * closing;
        rider_acceleration = arms / p->rider_mass - road.gravity;
    }
    double both = p->sprung_mass + p->unsprung_mass;
    double heave = tyre - both * road.gravity + road.shift - arms;
    double slide = (tyre - p->unsprung_mass * road.gravity) * p->axis_sine - lever * force;
    double friction = p->friction_per_load * tyre
                      + lever * (p->friction_force
                                 + p->friction_per_pressure * at_least(positive - p->ambient, 0.0));
    forces->tyre = tyre;
    forces->friction = friction;
    forces->holding = slide - p->unsprung_mass * p->axis_sine * heave / both;
    double rise_rate, speed_rate;
    if (mode == 0.0) {
        rise_rate = heave / both;
        speed_rate = 0.0;
    } else {
        slide -= mode * friction;
        double coupled = p->sprung_mass + p->unsprung_mass * (1.0 - p->axis_sine * p->axis_sine);
        rise_rate = (heave - p->axis_sine * slide) / coupled;
        speed_rate = (both * slide / p->unsprung_mass - p->axis_sine * heave) / coupled;
    }
    double momentum = p->sprung_mass * y[RISE] + p->unsprung_mass * wheel_rise + p->rider_mass * y[RIDER_RISE];
    *rate = (State){{y[RISE], y[SPEED], rise_rate, speed_rate, y[RIDER_RISE], rider_acceleration, positive_rate,
                     negative_rate, spring_leg_rate, damper_leg_rate, secondary_rate, floating_speed,
                     compression_rate, shaft_rate}};
    *power = (Work){{tyre * road.rate, road.shift * y[RISE] - road.gravity * momentum, damper * stroke_speed,
                     mode * friction * y[SPEED], (tyre - elastic) * deflection_speed, wall, floating_loss,
                     arms_loss}};
}

static inline State ahead(const State *y, const State *k, double step) {
    State s;
    for (int i = 0; i < STATES; i++) s.v[i] = y->v[i] + step * k->v[i];
    return s;
}

/* One Runge-Kutta step whose first rates are known. */
static inline void step_on(const Parameters *p, State *y, Work *work, const State *k1, const Work *w1, double mode,
                           double step, Road middle, Road end) {
    State k2, k3, k4, part;
    Work w2, w3, w4;
    Forces unused;
    part = ahead(y, k1, 0.5 * step);
    motion(p, &part, mode, middle, &k2, &w2, &unused);
    part = ahead(y, &k2, 0.5 * step);
    motion(p, &part, mode, middle, &k3, &w3, &unused);
    part = ahead(y, &k3, step);
    motion(p, &part, mode, end, &k4, &w4, &unused);
    for (int i = 0; i < STATES; i++)
        y->v[i] += step / 6.0 * (k1->v[i] + 2.0 * (k2.v[i] + k3.v[i]) + k4.v[i]);
    for (int i = 0; i < POWERS; i++)
        work->v[i] += step / 6.0 * (w1->v[i] + 2.0 * (w2.v[i] + w3.v[i]) + w4.v[i]);
}

static Road between(Road a, Road b, Road c, double share) {
    double u = (2.0 * share - 1.0) * (share - 1.0), v = 4.0 * share * (1.0 - share),
           w = share * (2.0 * share - 1.0);
    return (Road){u * a.height + v * b.height + w * c.height, u * a.rate + v * b.rate + w * c.rate,
                  u * a.gravity + v * b.gravity + w * c.gravity, u * a.shift + v * b.shift + w * c.shift};
}

static void stop_sliding(const Parameters *p, State *y, Work *work) {
    work->v[FRICTION] += p->unsprung_mass * y->v[SPEED] * (p->axis_sine * y->v[RISE] + 0.5 * y->v[SPEED]);
    y->v[SPEED] = 0.0;
}

static double mode_at_rest(const Parameters *p, Forces f) {
    return fabs(f.holding) <= p->breakaway * f.friction ? 0.0 : copysign(1.0, f.holding);
}

static double turned(const Parameters *p, State *y, Work *work, double mode, double step, double share, Road begin,
                     Road middle, Road end) {
    State k1;
    Work w1;
    Forces forces;
    Road turn = between(begin, middle, end, share);
    if (share > 0.0) {
        motion(p, y, mode, begin, &k1, &w1, &forces);
        step_on(p, y, work, &k1, &w1, mode, share * step, between(begin, middle, end, 0.5 * share), turn);
    }
    stop_sliding(p, y, work);
    motion(p, y, 0.0, turn, &k1, &w1, &forces);
    mode = mode_at_rest(p, forces);
    motion(p, y, mode, turn, &k1, &w1, &forces);
    step_on(p, y, work, &k1, &w1, mode, (1.0 - share) * step, between(begin, middle, end, 0.5 * (1.0 + share)),
            end);
    if (y->v[SPEED] * mode < 0.0) {
        stop_sliding(p, y, work);
        mode = 0.0;
    }
    return mode;
}

/* Bring a floating piston that ran past a stop back to it, both gases following their adiabats. */
static inline void stay_within_stops(const Parameters *p, State *y) {
    double floating = at_most(at_least(y->v[FLOATING], 0.0), p->floating_stroke);
    if (floating == y->v[FLOATING]) return;
    double back = floating - y->v[FLOATING], work = p->gas_ratio - 1.0;
    double volume = p->positive_volume - p->positive_area * stroke_and_lever(p, y->v[TRAVEL]).stroke
                    + p->floating_area * floating;
    y->v[POSITIVE] *= 1.0 - work * p->floating_area * back / volume;
    y->v[SECONDARY] *= 1.0 + work * p->floating_back_area * back
                                 / (p->floating_volume - p->floating_back_area * floating);
    y->v[FLOATING] = floating;
}

/* Step through a course; `series` has 8 columns. Returns the number of steps in which the unit was stuck. */
long run(const Parameters *p, double *state, double *works, const Road *road, long count, double step,
         double *series) {
    State y, k1;
    Work work = {{0.0}}, w1;
    Forces forces;
    for (int i = 0; i < STATES; i++) y.v[i] = state[i];
    int has_friction = p->friction_force > 0.0 || p->friction_per_load > 0.0 || p->friction_per_pressure > 0.0;
    double mode = has_friction ? 0.0 : 1.0;
    long stuck = 0;
    for (long n = 0; n <= count; n++) {
        const Road *here = road + 2 * n;
        if (mode == 0.0) {
            motion(p, &y, mode, here[0], &k1, &w1, &forces);
            mode = mode_at_rest(p, forces);
            stuck += mode == 0.0;
        }
        motion(p, &y, mode, here[0], &k1, &w1, &forces);
        double *row = series + 8 * n;
        row[0] = y.v[TRAVEL];
        row[1] = y.v[SPEED];
        row[2] = y.v[HEIGHT];
        row[3] = k1.v[RISE];
        row[4] = forces.tyre;
        row[5] = y.v[POSITIVE];
        row[6] = y.v[FLOATING];
        row[7] = y.v[RIDER_HEIGHT];
        if (n == count) break;
        State before = y;
        Work work_before = work;
        step_on(p, &y, &work, &k1, &w1, mode, step, here[1], here[2]);
        if (has_friction && y.v[SPEED] * mode < 0.0) {
            double share = before.v[SPEED] / (before.v[SPEED] - y.v[SPEED]);
            y = before;
            work = work_before;
            mode = turned(p, &y, &work, mode, step, share, here[0], here[1], here[2]);
        }
        if (p->floating_area > 0.0) stay_within_stops(p, &y);
    }
    for (int i = 0; i < STATES; i++) state[i] = y.v[i];
    for (int i = 0; i < POWERS; i++) works[i] = work.v[i];
    return stuck;
}
