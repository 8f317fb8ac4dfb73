// The loop of the fast path once more in C++: the same tiles, tables, culling and stages, for flat receivers.
//
// It measures what a compiler for C++ makes of the design on this machine, so it is written for speed alone: 128-bit
// loads of the four corners, one translation unit, threads that take tiles from a counter. What it leaves out, since no
// case of the benchmark has it: openings, points near a lamp, uneven tables, meshes, other receivers.

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdint>
#ifdef __AVX2__
#include <immintrin.h>
#endif
#include <thread>
#include <vector>

namespace {

constexpr int SIZE = 256, ROWS = 7;
constexpr double NOISE = 1e-6, SKIN_M = 1e-6;
enum Kind { MISSED, TOUCHED, SHADED };

struct Work {
    const float *rows;        // (T, 7, 256) x, y, z, normal, normal times position
    const double *bounds;     // (T, 13) centre, half sizes, least and largest normal, least of normal times position
    const int32_t *order;     // (n,)
    int64_t points, tiles;
    const double *position;   // (L, 3)
    const double *axes;       // (L, 3, 3)
    const int64_t *table;     // (L,)
    const double *cone;       // (L, 5)
    int64_t lamps;
    const float *numbers;     // (tables, N) scale, quarter, last of both angles first
    const int64_t *places;    // (tables, P) start, stop, width first
    int64_t numbers_wide, places_wide;
    const float *corners;
    const double *centre, *half, *box_axes;  // (B, 3), (B, 3), (B, 3, 3)
    const double *from_box;   // (L, B, 3)
    const double *low, *high; // (3, B)
    int64_t boxes;
    const float *levels;
    double *lux;              // (n,)
};

struct Seen { double place[3], size[3], length, skin; };

struct alignas(64) Room {
    float cube[SIZE], factor[SIZE], polar[SIZE], polar_rest[SIZE], azimuth_rest[SIZE], lux[SIZE], total[SIZE];
    int32_t at[SIZE];
    Seen seen[1024];
    Kind kinds[1024];
};

inline float larger(float a, float b) { return a > b ? a : b; }
inline float smaller(float a, float b) { return a < b ? a : b; }

inline float eighth(float side, float ahead) {
    const float t = smaller(side, ahead) / larger(larger(side, ahead), 1e-30f), s = t * t;
    return t * (0.9999998864f + s * (-0.3333259703f + s * (0.1998590678f + s * (-0.1416122928f + s * (0.1049894637f
        + s * (-0.0723485794f + s * (0.03978122988f + s * (-0.01440136158f + s * 0.002456725456f))))))));
}

bool backwards(const double *b, double x, double y, double z, double noise) {
    const double most = std::max(-b[6] * x, -b[9] * x) + std::max(-b[7] * y, -b[10] * y)
        + std::max(-b[8] * z, -b[11] * z);
    return most - b[12] < -noise;
}

bool outside_cone(const double *half, double x, double y, double z, const double *cone, double noise) {
    const double ax = cone[0], ay = cone[1], az = cone[2], cosine = cone[3], sine = cone[4];
    const double ahead = ax * x + ay * y + az * z;
    if (cosine >= 0.0) {
        const double rx = x - ahead * ax, ry = y - ahead * ay, rz = z - ahead * az;
        const double radius = std::sqrt(rx * rx + ry * ry + rz * rz), scale = radius > 0.0 ? cosine / radius : 0.0;
        const double nx = scale * rx - sine * ax, ny = scale * ry - sine * ay, nz = scale * rz - sine * az;
        return nx * x + ny * y + nz * z - std::fabs(nx) * half[0] - std::fabs(ny) * half[1] - std::fabs(nz) * half[2]
            > noise;
    }
    for (int corner = 0; corner < 8; ++corner) {
        const double px = x + (corner & 1 ? half[0] : -half[0]), py = y + (corner & 2 ? half[1] : -half[1]);
        const double pz = z + (corner & 4 ? half[2] : -half[2]);
        if (ax * px + ay * py + az * pz > cosine * std::sqrt(px * px + py * py + pz * pz) - noise) return false;
    }
    return true;
}

bool crossed(const double *half, const double *axes, const Seen &seen, const double *origin, double skin, double x,
             double y, double z) {
    double enter = 0.0, leave = 1.0;
    for (int axis = 0; axis < 3; ++axis) {
        const double step = seen.place[axis] + axes[3 * axis] * x + axes[3 * axis + 1] * y + axes[3 * axis + 2] * z
            - origin[axis], face = half[axis] - skin;
        if (step == 0.0) {
            if (std::fabs(origin[axis]) >= face) return false;
            continue;
        }
        const double one = (-face - origin[axis]) / step, two = (face - origin[axis]) / step;
        enter = std::max(enter, std::min(one, two));
        leave = std::min(leave, std::max(one, two));
    }
    return enter < leave;
}

Kind meeting(const double *tile, const double *half, const double *axes, Seen &seen, const double *origin) {
    const double skin = SKIN_M
        + NOISE * (2.0 * (std::fabs(origin[0]) + std::fabs(origin[1]) + std::fabs(origin[2])) + seen.length);
    seen.skin = skin;
    for (int axis = 0; axis < 3; ++axis) {
        const double low = seen.place[axis] - seen.size[axis], high = seen.place[axis] + seen.size[axis];
        const double face = half[axis] - 0.5 * skin;
        if (std::min(origin[axis], low) >= face || std::max(origin[axis], high) <= -face) return MISSED;
    }
    double enter = 0.0, leave = 1.0;
    for (int axis = 0; axis < 3; ++axis) {
        const double away = seen.place[axis] - origin[axis], face = half[axis] + skin;
        const double low = away - seen.size[axis], high = away + seen.size[axis];
        if (low > 0.0) leave = std::min(leave, (face - origin[axis]) / low);
        else if (low < 0.0) enter = std::max(enter, (face - origin[axis]) / low);
        else if (origin[axis] >= face) return MISSED;
        if (high < 0.0) leave = std::min(leave, (-face - origin[axis]) / high);
        else if (high > 0.0) enter = std::max(enter, (-face - origin[axis]) / high);
        else if (origin[axis] <= -face) return MISSED;
    }
    if (enter >= leave) return MISSED;
    if (!crossed(half, axes, seen, origin, 3.0 * skin, 0.0, 0.0, 0.0)) return TOUCHED;
    for (int corner = 0; corner < 8; ++corner) {
        const double x = corner & 1 ? tile[0] : -tile[0], y = corner & 2 ? tile[1] : -tile[1];
        if (!crossed(half, axes, seen, origin, 3.0 * skin, x, y, corner & 4 ? tile[2] : -tile[2])) return TOUCHED;
    }
    return SHADED;
}

void geometry(const float *__restrict tile, Room &__restrict s, const double *axes, const double *away,
              const float *numbers, int width) {
    const float a00 = axes[0], a01 = axes[1], a02 = axes[2], a10 = axes[3], a11 = axes[4], a12 = axes[5];
    const float a20 = axes[6], a21 = axes[7], a22 = axes[8];
    const float cx = axes[0] * away[0] + axes[1] * away[1] + axes[2] * away[2];
    const float cy = axes[3] * away[0] + axes[4] * away[1] + axes[5] * away[2];
    const float cz = axes[6] * away[0] + axes[7] * away[1] + axes[8] * away[2];
    const float sx = away[0], sy = away[1], sz = away[2];
    const float scale_p = numbers[0], scale_a = numbers[1], quarter_p = numbers[2], quarter_a = numbers[3];
    const float last_p = numbers[4], last_a = numbers[5];
    for (int k = 0; k < SIZE; ++k) {
        const float x = tile[k], y = tile[SIZE + k], z = tile[2 * SIZE + k];
        const float tx = a00 * x + (a01 * y + (a02 * z + cx)), ty = a10 * x + (a11 * y + (a12 * z + cy));
        const float tz = a20 * x + (a21 * y + (a22 * z + cz));
        const float across = tx * tx + ty * ty, square = across + tz * tz, cube = 1.0f / (square * std::sqrt(square));
        const float facing = -(tile[3 * SIZE + k] * sx + (tile[4 * SIZE + k] * sy + (tile[5 * SIZE + k] * sz
            + tile[6 * SIZE + k])));
        s.factor[k] = larger(facing, 0.0f) * cube;
        const float out = std::sqrt(across), up = std::fabs(tz);
        const bool steep = out > up, behind = tz < 0.0f;
        const float near_p = steep ? 1.0f : (behind ? 2.0f : 0.0f), sign_p = steep != behind ? -1.0f : 1.0f;
        const float rest_p = sign_p * eighth(out, up) * scale_p, base_p = near_p * quarter_p;
        const float whole_p = smaller(larger(std::floor(rest_p) + base_p, 0.0f), last_p);
        s.polar_rest[k] = rest_p - (whole_p - base_p);
        const float side = std::fabs(ty), ahead = std::fabs(tx);
        const bool steep_a = side > ahead, behind_a = tx < 0.0f, below = ty < 0.0f;
        float near_a = steep_a ? 1.0f : (behind_a ? 2.0f : 0.0f), sign_a = steep_a != behind_a ? -1.0f : 1.0f;
        near_a = below ? 4.0f - near_a : near_a;
        sign_a = below ? -sign_a : sign_a;
        const float rest_a = sign_a * eighth(side, ahead) * scale_a, base_a = near_a * quarter_a;
        const float whole_a = smaller(larger(std::floor(rest_a) + base_a, 0.0f), last_a);
        s.azimuth_rest[k] = rest_a - (whole_a - base_a);
        s.at[k] = 4 * static_cast<int32_t>(whole_a * static_cast<float>(width) + whole_p);
    }
}

#ifdef __AVX2__
inline __m256 two_cells(const float *corners, int32_t a, int32_t b) {
    return _mm256_insertf128_ps(_mm256_castps128_ps256(_mm_loadu_ps(corners + a)), _mm_loadu_ps(corners + b), 1);
}

inline __m256 between(__m256 a, __m256 b, __m256 along) {
    return _mm256_add_ps(a, _mm256_mul_ps(_mm256_sub_ps(b, a), along));
}

// Eight points at a time: one 128-bit load of the corners of each, turned so that each register holds one corner.
void light(Room &__restrict s, const float *__restrict corners) {
    for (int k = 0; k < SIZE; k += 8) {
        const int32_t *at = s.at + k;
        const __m256 a = two_cells(corners, at[0], at[4]), b = two_cells(corners, at[1], at[5]);
        const __m256 c = two_cells(corners, at[2], at[6]), d = two_cells(corners, at[3], at[7]);
        const __m256 low = _mm256_unpacklo_ps(a, b), high = _mm256_unpackhi_ps(a, b);
        const __m256 low2 = _mm256_unpacklo_ps(c, d), high2 = _mm256_unpackhi_ps(c, d);
        const __m256 one = _mm256_shuffle_ps(low, low2, 0x44), two = _mm256_shuffle_ps(low, low2, 0xee);
        const __m256 three = _mm256_shuffle_ps(high, high2, 0x44), four = _mm256_shuffle_ps(high, high2, 0xee);
        const __m256 v = _mm256_load_ps(s.polar_rest + k), u = _mm256_load_ps(s.azimuth_rest + k);
        const __m256 candela = between(between(one, two, v), between(three, four, v), u);
        _mm256_store_ps(s.lux + k, _mm256_mul_ps(_mm256_max_ps(candela, _mm256_setzero_ps()),
                                                 _mm256_load_ps(s.factor + k)));
    }
}
#else
void light(Room &__restrict s, const float *__restrict corners) {
    for (int k = 0; k < SIZE; ++k) {
        const float *cell = corners + s.at[k];
        const float v = s.polar_rest[k], u = s.azimuth_rest[k];
        const float near = cell[0] + (cell[1] - cell[0]) * v, beyond = cell[2] + (cell[3] - cell[2]) * v;
        s.lux[k] = larger(near + (beyond - near) * u, 0.0f) * s.factor[k];
    }
}
#endif

inline float reciprocal(float step) { return 1.0f / (std::fabs(step) > 1e-20f ? step : 1e-20f); }

void shade(const float *__restrict tile, Room &__restrict s, const double *axes, const double *half, const Seen &seen,
           const double *origin) {
    const float r00 = axes[0], r01 = axes[1], r02 = axes[2], r10 = axes[3], r11 = axes[4], r12 = axes[5];
    const float r20 = axes[6], r21 = axes[7], r22 = axes[8], ox = origin[0], oy = origin[1], oz = origin[2];
    const float cx = seen.place[0] - origin[0], cy = seen.place[1] - origin[1], cz = seen.place[2] - origin[2];
    const float hx = half[0] - seen.skin, hy = half[1] - seen.skin, hz = half[2] - seen.skin;
    for (int k = 0; k < SIZE; ++k) {
        const float x = tile[k], y = tile[SIZE + k], z = tile[2 * SIZE + k];
        const float ix = reciprocal(r00 * x + (r01 * y + (r02 * z + cx)));
        const float iy = reciprocal(r10 * x + (r11 * y + (r12 * z + cy)));
        const float iz = reciprocal(r20 * x + (r21 * y + (r22 * z + cz)));
        const float mx = -ox * ix, my = -oy * iy, mz = -oz * iz;
        const float wx = hx * std::fabs(ix), wy = hy * std::fabs(iy), wz = hz * std::fabs(iz);
        const float enter = larger(larger(mx - wx, my - wy), larger(mz - wz, 0.0f));
        const float leave = smaller(smaller(mx + wx, my + wy), smaller(mz + wz, 1.0f));
        s.lux[k] = enter < leave ? 0.0f : s.lux[k];
    }
}

void leave_out(const Work &w, const double *tile, const double *lamp, Room &__restrict s) {
    double low[3], high[3];
    for (int axis = 0; axis < 3; ++axis) {
        low[axis] = std::min(lamp[axis], tile[axis] - tile[3 + axis]);
        high[axis] = std::max(lamp[axis], tile[axis] + tile[3 + axis]);
    }
    const double *__restrict l = w.low, *__restrict h = w.high;
    const int64_t n = w.boxes;
    for (int64_t box = 0; box < n; ++box)
        s.kinds[box] = (h[box] < low[0]) | (l[box] > high[0]) | (h[n + box] < low[1]) | (l[n + box] > high[1])
                | (h[2 * n + box] < low[2]) | (l[2 * n + box] > high[2]) ? MISSED : TOUCHED;
}

bool hidden(const Work &w, const double *tile, int64_t lamp, Room &s) {
    leave_out(w, tile, w.position + 3 * lamp, s);
    for (int64_t box = 0; box < w.boxes; ++box) {
        if (s.kinds[box] == MISSED) continue;
        const Kind kind = meeting(tile + 3, w.half + 3 * box, w.box_axes + 9 * box, s.seen[box],
                                  w.from_box + 3 * (lamp * w.boxes + box));
        if (kind == SHADED) return true;
        s.kinds[box] = kind;
    }
    return false;
}

void light_tile(const Work &w, int64_t tile, Room &s) {
    const float *points = w.rows + tile * ROWS * SIZE;
    const double *bounds = w.bounds + 13 * tile, *half = bounds + 3;
    for (int64_t box = 0; box < w.boxes; ++box) {
        s.seen[box].length = 0.0;
        for (int axis = 0; axis < 3; ++axis) {
            double place = 0.0, size = 0.0;
            for (int part = 0; part < 3; ++part) {
                const double along = w.box_axes[9 * box + 3 * axis + part];
                place += along * (bounds[part] - w.centre[3 * box + part]);
                size += std::fabs(along) * half[part];
            }
            s.seen[box].place[axis] = place;
            s.seen[box].size[axis] = size;
            s.seen[box].length += std::fabs(place) + 2.0 * size + w.half[3 * box + axis];
        }
    }
    std::fill(s.total, s.total + SIZE, 0.0f);
    for (int64_t lamp = 0; lamp < w.lamps; ++lamp) {
        double away[3];
        for (int axis = 0; axis < 3; ++axis) away[axis] = bounds[axis] - w.position[3 * lamp + axis];
        const double noise = 4.0 * NOISE * (std::fabs(away[0]) + std::fabs(away[1]) + std::fabs(away[2]) + half[0]
                                            + half[1] + half[2]);
        if (backwards(bounds, away[0], away[1], away[2], noise)) continue;
        if (outside_cone(half, away[0], away[1], away[2], w.cone + 5 * lamp, noise)) continue;
        if (hidden(w, bounds, lamp, s)) continue;
        const int64_t *places = w.places + w.table[lamp] * w.places_wide;
        geometry(points, s, w.axes + 9 * lamp, away, w.numbers + w.table[lamp] * w.numbers_wide,
                 static_cast<int>(places[2]));
        light(s, w.corners + places[0]);
        for (int64_t box = 0; box < w.boxes; ++box)
            if (s.kinds[box] != MISSED)
                shade(points, s, w.box_axes + 9 * box, w.half + 3 * box, s.seen[box],
                      w.from_box + 3 * (lamp * w.boxes + box));
        const float level = w.levels[lamp];
        for (int k = 0; k < SIZE; ++k) s.total[k] += level * s.lux[k];
    }
    const int32_t *order = w.order + tile * SIZE;
    const int64_t count = std::min<int64_t>(SIZE, w.points - tile * SIZE);
    for (int64_t k = 0; k < count; ++k) w.lux[order[k]] = s.total[k];
}

}  // namespace

extern "C" void light_all(const Work *work, int threads) {
    std::atomic<int64_t> next{0};
    auto task = [&] {
        static thread_local Room room;
        for (int64_t tile = next++; tile < work->tiles; tile = next++) light_tile(*work, tile, room);
    };
    std::vector<std::thread> others;
    for (int i = 1; i < threads; ++i) others.emplace_back(task);
    task();
    for (auto &other : others) other.join();
}
