// Reads two STEP files with the OCCT kernel libraries, an inlay and its host, and says, as
// one line of JSON, how near their flanks come and what volume they have in common.
#include <BRepAlgoAPI_Common.hxx>
#include <BRepBndLib.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRepGProp.hxx>
#include <BRep_Builder.hxx>
#include <Bnd_OBB.hxx>
#include <GProp_GProps.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <STEPControl_Reader.hxx>
#include <StepRepr_RepresentationItem.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <TopoDS_Face.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <tuple>
#include <vector>

namespace {

// Flanks farther apart than this face something else, mm.
constexpr double kFacing = 1.0;

// To this the kernel finds a narrow box, mm.
constexpr double kBoxed = 1e-6;

struct Flank {
  TopoDS_Face face;
  // Along the face's own axes: a box along the assembly's holds much of its neighbours.
  Bnd_OBB box;
};

struct Body {
  TopoDS_Shape shape;
  std::vector<Flank> flanks;
};

bool read(const char *path, Body &body) {
  STEPControl_Reader reader;
  if (reader.ReadFile(path) != IFSelect_RetDone || reader.TransferRoots() < 1) {
    return false;
  }
  body.shape = reader.OneShape();
  const Handle(XSControl_TransferReader) transfer = reader.WS()->TransferReader();
  for (TopExp_Explorer at(body.shape, TopAbs_FACE); at.More(); at.Next()) {
    const auto item = Handle(StepRepr_RepresentationItem)::DownCast(
        transfer->EntityFromShapeResult(at.Current(), 1));
    if (item.IsNull() || item->Name().IsNull()) {
      continue;
    }
    const std::string name = item->Name()->ToCString();
    if (name == "flank" || name == "ceiling") {
      Flank flank{TopoDS::Face(at.Current()), Bnd_OBB()};
      BRepBndLib::AddOBB(flank.face, flank.box, Standard_False, Standard_True);
      body.flanks.push_back(flank);
    }
  }
  return true;
}

// Flanks above which the kernel's booleans take minutes; the common volume is left to the
// check by triangles then.
constexpr size_t kCommon = 500;

// Flanks that are looked at of such an inlay: patterns repeat, and flanks that are no elementary
// surface take the kernel some 50 ms a pair.
constexpr size_t kLookedAt = 64;

// How far two boxes lie apart along one axis of either, 0 where they overlap on all: no points
// in them can be nearer to each other.
double apart(const Bnd_OBB &a, const Bnd_OBB &b) {
  const gp_XYZ between = b.Center() - a.Center();
  double most = 0.0;
  for (const gp_XYZ &axis : {a.XDirection(), a.YDirection(), a.ZDirection(), b.XDirection(),
                             b.YDirection(), b.ZDirection()}) {
    double gap = std::abs(between.Dot(axis));
    for (const Bnd_OBB *box : {&a, &b}) {
      gap -= box->XHSize() * std::abs(box->XDirection().Dot(axis)) +
             box->YHSize() * std::abs(box->YDirection().Dot(axis)) +
             box->ZHSize() * std::abs(box->ZDirection().Dot(axis));
    }
    most = std::max(most, gap);
  }
  return most;
}

struct Pair {
  double apart;
  // Squared, between the middles of the boxes: among pairs that may touch, the likelier first.
  double middles;
  const Flank *a;
  const Flank *b;
};

// Nearest boxes first, until no pair that is left can come nearer than what was found.
double least(const Body &inlay, const Body &host) {
  const size_t count = inlay.flanks.size();
  const size_t stride = count > kCommon ? count / kLookedAt : 1;
  std::vector<Pair> pairs;
  for (size_t number = 0; number < count; number += stride) {
    const Flank &a = inlay.flanks[number];
    for (const Flank &b : host.flanks) {
      const double middles = (a.box.Center() - b.box.Center()).SquareModulus();
      pairs.push_back({apart(a.box, b.box), middles, &a, &b});
    }
  }
  std::sort(pairs.begin(), pairs.end(), [](const Pair &x, const Pair &y) {
    return std::tie(x.apart, x.middles) < std::tie(y.apart, y.middles);
  });
  double found = kFacing;
  for (const Pair &pair : pairs) {
    if (pair.apart >= found + kBoxed) {
      break;
    }
    const BRepExtrema_DistShapeShape distance(pair.a->face, pair.b->face);
    found = std::min(found, distance.IsDone() ? distance.Value() : -1.0);
  }
  return found;
}

double common(const Body &inlay, const Body &host) {
  TopTools_ListOfShape one;
  TopTools_ListOfShape other;
  one.Append(inlay.shape);
  other.Append(host.shape);
  BRepAlgoAPI_Common both;
  both.SetArguments(one);
  both.SetTools(other);
  both.SetUseOBB(Standard_True);
  both.Build();
  if (!both.IsDone()) {
    return -1.0;
  }
  double volume = 0.0;
  for (TopExp_Explorer at(both.Shape(), TopAbs_SOLID); at.More(); at.Next()) {
    GProp_GProps properties;
    BRepGProp::VolumeProperties(at.Current(), properties);
    volume += properties.Mass();
  }
  return volume;
}

}  // namespace

int main(int, char **paths) {
  Message::DefaultMessenger()->ChangePrinters().Clear();
  Body inlay;
  Body host;
  if (!read(paths[1], inlay) || !read(paths[2], host)) {
    return 1;
  }
  std::printf("{\"flanks\": [%zu, %zu], \"least_mm\": %.9f, ", inlay.flanks.size(),
              host.flanks.size(), least(inlay, host));
  if (inlay.flanks.size() > kCommon) {
    std::printf("\"common_mm3\": null}\n");
  } else {
    std::printf("\"common_mm3\": %.9f}\n", common(inlay, host));
  }
}
