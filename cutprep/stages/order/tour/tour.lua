-- A short tour through lines, rank after rank, from home and back home.
--
-- Local search with 2-opt, 3-opt and Or-opt moves over lists of near points (Or 1976; Johnson and McGeoch
-- 1997, "The traveling salesman problem: a case study in local optimization"), woken by a queue of
-- points whose edges changed. It is kicked by small double bridges (Martin, Otto and Felten 1991);
-- a kick that ends a little worse is kept by a threshold that falls to nothing (Dueck and Scheuer
-- 1990). Work is counted in kicks, not seconds, so that the same job gives the same tour anywhere.
--
-- An open line is two points joined by an edge that is never taken out. Every move is made of
-- reversals of places i..j; a reversal is allowed when both ends have the same rank, and home
-- stays at place 1. `job.strain` may hold costs that hang on order and direction: for each line
-- u and each other v the cost of u after v (forward, backward) and of v after u. `job.places` may
-- hold several places for a closed line's point: it then goes wherever its neighbours pull it.

-- All functions are made once and share the state of the one search that runs: LuaJIT compiles them
-- for good then. Functions made anew for each search were compiled anew, and up to ten times slower.

local abs, floor, min, sqrt = math.abs, math.floor, math.min, math.sqrt

local tour_search = {}
local BROAD = 5 -- near points that are tried for the second edge of a 3-opt move

------------------------------------------------------------- columns of numbers, from 1 to k
local new_whole, new_real
local bare, ffi = pcall(require, "ffi")
if bare and jit.status() then -- a quarter of the memory, and nothing to check when one is read
  local whole, real = ffi.typeof("int32_t[?]"), ffi.typeof("double[?]")
  new_whole = function(k) return whole(k + 1) end
  new_real = function(k) return real(k + 1) end
else
  new_whole = function(k)
    local column = {}
    for i = 1, k do column[i] = 0 end
    return column
  end
  new_real = new_whole
end
local function column(given, k, new)
  local result = new(k)
  for i = 1, k do result[i] = given[i] end
  return result
end

------------------------------------------------------------- the cost of a travel move by its legs
local timed, speed, top_x, top_y, push_x, push_y

-- Whole micrometres, or whole microseconds of a trapezoid of speed when the machine's limits are given.
-- The least of several is taken without a branch: each would be compiled either way wherever it is used.
local function felt(dx, dy)
  local d = sqrt(dx * dx + dy * dy)
  if timed and d > 0 then
    dx, dy = abs(dx), abs(dy)
    local push = min(push_x * d / dx, push_y * d / dy)
    local peak = min(speed, top_x * d / dx, top_y * d / dy, sqrt(d * push))
    d = (d / peak + peak / push) * 1000000
  end
  return floor(d + 0.5)
end

-- Sets the limits, or none, for all that is measured from now on.
function tour_search.measure(feel)
  timed = feel ~= nil
  if timed then
    speed, top_x, top_y, push_x, push_y = feel.speed, feel.top_x, feel.top_y, feel.ax, feel.ay
  end
  return felt
end

------------------------------------------------------------- the state of the search
local n, X, Y, S, mate, tour, pos -- points by number; the tour, and the place of each point in it
local near, reach, K -- K near points of each point, and how far they are
local places, place_from, place_x, place_y, at_place
local strain, line, first, second, from, other, uf, ub, vf, vb
local longest -- reversal that is tried
local log_i, log_j, logged, added -- reversals to take back, and the strain they added
local queue, queued, head, tail, waiting
local state, span, head_of, last, ranks -- last and head_of: places of a rank; ranks keep theirs
local total, best, kept, settled

local function dist(a, b) return felt(X[a] - X[b], Y[a] - Y[b]) end

------------------------------------------------------------- where closed lines are entered
local function put(a, c)
  X[a], Y[a], at_place[a] = place_x[c], place_y[c], c
end

------------------------------------------------------------- costs of order and direction
local function strained(i, j)
  local more = 0
  for p = i, j do
    local a = tour[p]
    local u = line[a]
    if u > 0 and from[u] < from[u + 1] and (mate[a] == 0 or pos[mate[a]] > p) then
      local ahead = a == first[u]
      for e = from[u], from[u + 1] - 1 do
        local v = other[e]
        local pv = pos[first[v]]
        if pv < i then
          more = more + (ahead and ub[e] - uf[e] or uf[e] - ub[e])
        elseif pv <= j and u < v then
          local onward = pv <= pos[second[v]]
          if p < pv then
            more = more + (ahead and ub[e] or uf[e]) - (onward and vf[e] or vb[e])
          else
            more = more + (onward and vb[e] or vf[e]) - (ahead and uf[e] or ub[e])
          end
        end
      end
    end
  end
  return more
end

------------------------------------------------------------- reversals, and taking them back
local function flip(i, j)
  while i < j do
    local a, b = tour[i], tour[j]
    tour[i], tour[j] = b, a
    pos[b], pos[a] = i, j
    i, j = i + 1, j - 1
  end
end
local function reverse(i, j)
  if strain then added = added + strained(i, j) end
  logged = logged + 1
  log_i[logged], log_j[logged] = i, j
  flip(i, j)
end
local function take_back(mark)
  for k = logged, mark + 1, -1 do
    if log_i[k] < 0 then put(-log_i[k], log_j[k]) else flip(log_i[k], log_j[k]) end
  end
  logged = mark
end
-- Swap the neighbouring blocks i..j and j+1..k, turning each on demand.
local function swap(i, j, k, turn_first, turn_second)
  reverse(i, k)
  local m = i + k - j - 1
  if not turn_second and m > i then reverse(i, m) end
  if not turn_first and k > m + 1 then reverse(m + 1, k) end
end

------------------------------------------------------------- whose edges changed
local function push(a)
  if queued[a] == 0 then
    queued[a] = 1
    tail = tail < n and tail + 1 or 1
    queue[tail] = a
    waiting = waiting + 1
  end
end
local function after(a) return tour[pos[a] < n and pos[a] + 1 or 1] end
local function before(a) return tour[pos[a] > 1 and pos[a] - 1 or n] end

-- What a move of this gain in travel is worth with its strain; it is taken back when nothing.
local function settle_for(gain, mark)
  local net = gain - added
  if net > 0 then return net end
  take_back(mark)
  return 0
end

-- The place behind which two neighbours in the tour part.
local function parting(a, b)
  local p, q = pos[a], pos[b]
  if p > q then p, q = q, p end
  return q - p == 1 and p or n
end

-- Whether the tour may be turned between two partings, p before q.
local function turns(p, q) return q - p <= longest and S[tour[p + 1]] == S[tour[q]] end

-- Turn it there; false when it may not be.
local function turn_between(p, q)
  if p > q then p, q = q, p end
  if not turns(p, q) then return false end
  reverse(p + 1, q)
  return true
end

-- 3-opt: after a-b and c-d have given way to a-c and b-d, b-d gives way to an edge from d to e near
-- it, and e's neighbour f on the way there from d goes to b. a and b part behind i, c and d behind j.
local function three_opt(a, b, c, d, i, j, gain)
  local onward = i < j
  if not onward then i, j = j, i end
  if not turns(i, j) then return 0 end
  for q = (d - 1) * K + 1, (d - 1) * K + BROAD do
    local e = near[q]
    local left = e == 0 and 0 or gain - dist(d, e)
    if left <= 0 then
      if not places or e == 0 then break end
    elseif e ~= b and e ~= c then
      local p = pos[e]
      local f = onward == (p > i and p <= j) and after(e) or before(e)
      local net = left + dist(e, f) - dist(f, b)
      if net > 0 and mate[e] ~= f and f ~= d then
        local mark = logged
        added = 0
        reverse(i + 1, j)
        if turn_between(parting(b, d), parting(e, f)) then
          net = settle_for(net, mark)
          if net > 0 then
            push(a) push(b) push(c) push(d) push(e) push(f)
            return net
          end
        else
          take_back(mark)
        end
      end
    end
  end
  return 0
end

-- 2-opt: the edges a-b and c-d give way to a-c and b-d; 3-opt where that does not pay.
local function two_opt(way, a, b, c, gain)
  local d = way == 1 and after(c) or before(c)
  if mate[c] == d or d == a then return 0 end
  gain = gain + dist(c, d)
  local i, j = parting(a, b), parting(c, d)
  local net = gain - dist(b, d)
  if net <= 0 then return three_opt(a, b, c, d, i, j, gain) end
  local mark = logged
  added = 0
  net = turn_between(i, j) and settle_for(net, mark) or 0
  if net > 0 then
    push(a) push(b) push(c) push(d)
  end
  return net
end

-- Put the block between a and e (at places low..high) between c and d.
local function insert(a, e, low, high, c, d)
  local gap = parting(c, d)
  local turned = tour[low] ~= (tour[gap] == c and a or e)
  if gap - low > longest or high - gap > longest then return false end
  if gap > high then
    if S[tour[low]] ~= S[tour[gap]] then return false end
    swap(low, high, gap, turned, false)
  else
    if S[tour[gap + 1]] ~= S[tour[high]] then return false end
    swap(gap + 1, low - 1, high, false, turned)
  end
  return true
end

-- Or-opt: one to three lines that begin with a and run away from b go beside c.
local function or_opt(way, a, b, c, gain)
  local e = a
  for _ = 1, 3 do
    if e == 1 then return 0 end
    local beyond = way == 1 and before(e) or after(e)
    if mate[e] == beyond then
      e = beyond
      beyond = way == 1 and before(e) or after(e)
    end
    if e == 1 or e == b or beyond == b then return 0 end
    local low, high = pos[e], pos[a]
    if low > high then low, high = high, low end
    if high - low > 6 or (pos[c] >= low and pos[c] <= high) then return 0 end
    local out = gain + dist(e, beyond) - dist(b, beyond)
    if out > 0 then
      for side = 1, 2 do
        local d = side == 1 and after(c) or before(c)
        if mate[c] ~= d and not (pos[d] >= low and pos[d] <= high) then
          local net = out + dist(c, d) - dist(e, d)
          local mark = logged
          added = 0
          if net > 0 and insert(a, e, low, high, c, d) then
            net = settle_for(net, mark)
            if net > 0 then
              push(a) push(b) push(c) push(d) push(e) push(beyond)
              return net
            end
          end
        end
      end
    end
    e = beyond
  end
  return 0
end

-- Move a closed line's point to the best of its places between its neighbours.
local function shift(a)
  local l, r = before(a), after(a)
  local old = at_place[a]
  local now = dist(l, a) + dist(a, r)
  local least, best = now, old
  local lx, ly, rx, ry = X[l], Y[l], X[r], Y[r]
  for c = place_from[a], place_from[a + 1] - 1 do
    local x, y = place_x[c], place_y[c]
    local sum = felt(lx - x, ly - y)
    if sum < least then
      sum = sum + felt(x - rx, y - ry)
      if sum < least then least, best = sum, c end
    end
  end
  if best == old then return 0 end
  put(a, best)
  logged = logged + 1
  log_i[logged], log_j[logged] = -a, old
  push(a) push(l) push(r)
  return now - least
end

local function improve(a)
  if places and place_from[a] < place_from[a + 1] - 1 then
    local gain = shift(a)
    if gain > 0 then return gain end
  end
  for way = 1, 2 do
    local b = way == 1 and after(a) or before(a)
    if mate[a] ~= b then
      local edge = dist(a, b)
      for q = (a - 1) * K + 1, a * K do
        local c = near[q]
        if c == 0 then break end
        local gain = edge - (places and dist(a, c) or reach[q])
        if gain > 0 then
          local won = two_opt(way, a, b, c, gain)
          if won == 0 then won = or_opt(way, a, b, c, gain) end
          if won > 0 then return won end
        elseif not places then
          break
        end
      end
    end
  end
  return 0
end

local function settle()
  local total = 0
  while waiting > 0 do
    local a = queue[head]
    head = head < n and head + 1 or 1
    waiting = waiting - 1
    queued[a] = 0
    local gain = improve(a)
    while gain > 0 do
      total = total + gain
      gain = improve(a)
    end
  end
  return total
end

-- Where ranks meet, near lists see nothing: try every reversal that begins or ends there.
local function mend_borders()
  local total = 0
  local i = 2
  while i <= n do
    local j = i
    while j < n and S[tour[j + 1]] == S[tour[i]] do j = j + 1 end
    for side = 1, 2 do
      local most, where = 0, 0
      for p = i, j do
        local lo, hi = i, p
        if side == 2 then lo, hi = p, j end
        local l, r = tour[lo - 1], tour[hi < n and hi + 1 or 1]
        if hi - lo < longest and mate[l] ~= tour[lo] and mate[r] ~= tour[hi] then
          local gain = dist(l, tour[lo]) + dist(tour[hi], r) - dist(l, tour[hi]) - dist(tour[lo], r)
          if gain > most then most, where = gain, p end
        end
      end
      if most > 0 then
        local lo, hi = i, where
        if side == 2 then lo, hi = where, j end
        local l, r = tour[lo - 1], tour[hi < n and hi + 1 or 1]
        local u, v = tour[lo], tour[hi]
        local mark = logged
        added = 0
        reverse(lo, hi)
        local won = settle_for(most, mark)
        if won > 0 then
          push(l) push(r) push(u) push(v)
          total = total + won + settle()
        end
      end
    end
    i = j + 1
  end
  return total
end

------------------------------------------------------------- kicks
local function random(k) -- Park and Miller 1988: exact in doubles
  state = state * 16807 % 2147483647
  return floor(state / 2147483647 * k) + 1
end
local function clear(p) -- the first place from p on behind which an edge may be taken out
  if p < n and mate[tour[p]] == tour[p + 1] then return p + 1 end
  return p
end
-- Turn a short block, or swap two neighbouring ones. Returns what it costs, or nil.
local function bridge()
  local p = clear(random(n - 1))
  if p >= n then return nil end
  local stop = last[S[tour[p + 1]]]
  local most = stop - p < span and stop - p or span
  local q = clear(p + random(most))
  local a, b, c, d = tour[p], tour[p + 1], tour[q], tour[q < n and q + 1 or 1]
  if q >= stop or random(8) == 1 then
    if q > stop then return nil end
    added = 0
    reverse(p + 1, q)
    push(a) push(b) push(c) push(d)
    return dist(a, c) + dist(b, d) - dist(a, b) - dist(c, d) + added
  end
  most = stop - q < span and stop - q or span
  local r = clear(q + random(most))
  local e, f = tour[r], tour[r < n and r + 1 or 1]
  added = 0
  swap(p + 1, q, r, false, false)
  push(a) push(b) push(c) push(d) push(e) push(f)
  return dist(a, d) + dist(e, b) + dist(c, f) - dist(a, b) - dist(c, d) - dist(e, f) + added
end

-- Let a line change places with all that comes before or behind it in its rank: near lists end
-- where ranks meet, so this is how another line gets to the border.
local function outward()
  local low = random(n - 1) + 1
  if mate[tour[low]] == tour[low - 1] then low = low - 1 end
  local high = clear(low)
  local rank, turned = S[tour[low]], random(2) == 1
  local i, j, k = head_of[rank], low - 1, high
  if random(2) == 1 then i, j, k = low, high, last[rank] end
  if j < i or k <= j then return nil end
  local l, a, b, c, d = tour[i - 1], tour[i], tour[j], tour[j + 1], tour[k]
  local r = tour[k < n and k + 1 or 1]
  local cost = -dist(l, a) - dist(b, c) - dist(d, r)
  added = 0
  swap(i, j, k, turned and i == low, turned and i ~= low)
  push(l) push(a) push(b) push(c) push(d) push(r)
  local m = i + k - j - 1
  return cost + dist(l, tour[i]) + dist(tour[m], tour[m + 1]) + dist(tour[k], r) + added
end

-- Turn a line that strains, or a short block that begins with it.
local function turn()
  local u = strain.lines[random(strain.count)]
  local i, j = pos[first[u]], pos[second[u]]
  if i > j then i, j = j, i end
  if random(2) == 1 then j = clear(j + random(span)) end
  if j > n or S[tour[i]] ~= S[tour[j]] then return nil end
  local l, r, b, c = tour[i - 1], tour[j < n and j + 1 or 1], tour[i], tour[j]
  added = 0
  reverse(i, j)
  push(l) push(r) push(b) push(c)
  return dist(l, c) + dist(b, r) - dist(l, b) - dist(c, r) + added
end

------------------------------------------------------------- the search
local function keep()
  if total >= best then return end
  best = total
  for p = 1, n do
    kept[p] = tour[p]
    if places then settled[p] = at_place[p] end
  end
end

local function begin(job)
  n, K, span = job.n, job.k, job.span
  X, Y = column(job.x, n, new_real), column(job.y, n, new_real)
  S, mate, tour = column(job.rank, n, new_whole), column(job.mate, n, new_whole), column(job.tour, n, new_whole)
  near, reach, pos = column(job.near, n * K, new_whole), new_real(n * K), new_whole(n)
  tour_search.measure(job.feel)
  for p = 1, n do pos[tour[p]] = p end
  for q = 1, n * K do
    if near[q] ~= 0 then reach[q] = dist(floor((q - 1) / K) + 1, near[q]) end
  end
  places = job.places
  if places then
    local count = places.from[n + 1] - 1
    place_from, at_place = column(places.from, n + 1, new_whole), column(places.at, n, new_whole)
    place_x, place_y = column(places.x, count, new_real), column(places.y, count, new_real)
  end
  strain = job.strain
  if strain then
    local lines = strain.m
    line = column(strain.line, n, new_whole)
    first, second = column(strain.first, lines, new_whole), column(strain.second, lines, new_whole)
    from = column(strain.from, lines + 1, new_whole)
    local count = from[lines + 1] - 1
    other = column(strain.other, count, new_whole)
    uf, ub = column(strain.uf, count, new_real), column(strain.ub, count, new_real)
    vf, vb = column(strain.vf, count, new_real), column(strain.vb, count, new_real)
  end
  -- Weighing a long reversal would cost more than it can bring: the start has been searched without.
  longest = strain and 200 or n
  log_i, log_j, logged, added = {}, {}, 0, 0
  queue, queued, head, tail, waiting = new_whole(n), new_whole(n), 1, 0, 0
  state = job.seed % 2147483646 + 1
  head_of, last, ranks = {}, {}, 0
  for p = n, 1, -1 do
    if not last[S[tour[p]]] then
      last[S[tour[p]]] = p
      ranks = ranks + 1
    end
    head_of[S[tour[p]]] = p
  end
  total, best, kept, settled = 0, math.huge, {}, {}
end

-- job: n, x, y, rank, mate, tour, near (lists), k, kicks, seed, span, heat, feel, strain, places
-- Returns the tour, and where places are given the place of each point.
function tour_search.improve(job)
  begin(job)
  keep()
  for p = 1, n do push(tour[p]) end
  total = total - settle()
  total = total - mend_borders()
  keep()

  local hot = 0
  for p = 1, n - 1 do
    if mate[tour[p]] ~= tour[p + 1] then hot = hot + dist(tour[p], tour[p + 1]) end
  end
  hot = hot / n * job.heat
  local kicks = n >= 4 and job.kicks or 0
  local pause = floor(kicks / 8) + 1
  if pause > 2 * n then pause = 2 * n end
  for kick = 1, kicks do
    logged = 0
    local cost
    if strain and strain.count > 0 and kick % 3 == 0 then
      cost = turn()
    elseif ranks > 2 and kick % 8 == 1 and n < 1000 then
      cost = outward()
    else
      cost = bridge()
    end
    if cost then
      cost = cost - settle()
      if cost > hot * (1 - kick / kicks) * random(1000) / 1000 then
        take_back(0)
      else
        total = total + cost
      end
    end
    if kick % pause == 0 or kick == kicks then
      total = total - mend_borders()
      keep()
    end
  end
  return kept, settled
end

return tour_search
